#include "surface/box_marks.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

constexpr size_t kFewestCorners = 5;

const BoxVertex* FindCorner(const BoxMarks& box, int index) {
  for (const BoxVertex& vertex : box.vertices) {
    if (vertex.index == index) return &vertex;
  }
  return nullptr;
}

// Heights of a quad's corners over the line through their neighbours, px, positive where they turn clockwise.
std::array<double, 4> HeightsOf(const Quad& quad) {
  std::array<double, 4> heights{};
  for (size_t i = 0; i < 4; ++i) {
    const Eigen::Vector2d before = quad[(i + 3) % 4].vector(), after = quad[(i + 1) % 4].vector();
    const Eigen::Vector2d a = quad[i].vector() - before, b = after - quad[i].vector();
    heights[i] = (a.x() * b.y() - a.y() * b.x()) / std::max((after - before).norm(), 1.0);
  }
  return heights;
}

// A face seen nearly along itself may cross by what marking by hand errs; beyond this it is a mistake.
constexpr double kClearHeightPx = 4 * kLeastSidePx;

std::optional<Error> FindFaceFault(const BoxMarks& box, const WholeFace& whole) {
  const auto heights = HeightsOf(whole.quad);
  const bool clear = std::all_of(heights.begin(), heights.end(),
                                 [](double h) { return std::abs(h) > kClearHeightPx; });
  if (!clear) return std::nullopt;
  const auto turned = std::count_if(heights.begin(), heights.end(), [](double h) { return h < 0; });
  if (turned == 0 || turned == 4) return std::nullopt;
  const auto corners = BoxFaceOf({1, 1, 1}, whole.face).corners;
  const char* name = kBoxFaceNames[whole.face];
  if (turned == 2) {
    return CornerFault(
        *FindCorner(box, corners[0]),
        fmt::format("expected the {0} face's corners in order; its sides cross each other: two "
                    "of {1}, {2}, {3} and {4} are exchanged",
                    name, kBoxVertexNames[corners[0]], kBoxVertexNames[corners[1]],
                    kBoxVertexNames[corners[2]], kBoxVertexNames[corners[3]]));
  }
  const bool odd_is_negative = turned == 1;
  for (size_t i = 0; i < 4; ++i) {
    if ((heights[i] < 0) != odd_is_negative) continue;
    return CornerFault(*FindCorner(box, corners[i]),
                       fmt::format("expected a corner of a rectangle; it points into the {} face, "
                                   "which no camera sees",
                                   name));
  }
  return std::nullopt;
}

}  // namespace

std::vector<WholeFace> WholeFacesOf(const BoxMarks& box) {
  std::vector<WholeFace> whole;
  for (int face = 0; face < kBoxFaces; ++face) {
    const auto corners = BoxFaceOf({1, 1, 1}, face).corners;
    WholeFace result{face, {}};
    bool all = true;
    for (size_t i = 0; i < 4; ++i) {
      const BoxVertex* vertex = FindCorner(box, corners[i]);
      all = all && vertex;
      if (vertex) result.quad[i] = vertex->photo;
    }
    if (all) whole.push_back(result);
  }
  return whole;
}

Error CornerFault(const BoxVertex& vertex, const std::string& message) {
  return {vertex.place,
          fmt::format("surface.vertices.{} = [{:.6g}, {:.6g}]", kBoxVertexNames[vertex.index],
                      vertex.photo.x, vertex.photo.y),
          message};
}

Error MirroredBox(const BoxMarks& box) {
  // Every exchange of two opposite faces turns it right; the one that stands out in the picture is named.
  double rightwards = 0, downwards = 0;
  for (const BoxVertex& a : box.vertices) {
    for (const BoxVertex& b : box.vertices) {
      const int changed = a.index ^ b.index;
      if (a.index >= b.index) continue;
      if (changed == 1) rightwards += b.photo.x - a.photo.x;
      if (changed == 2) downwards += b.photo.y - a.photo.y;
    }
  }
  const char* exchanged = rightwards < 0  ? "left and right"
                          : downwards < 0 ? "top and bottom"
                                          : "front and back";
  return {box.vertices_place, "surface.vertices",
          fmt::format("the corners show the box mirrored, as if seen from within; expected names "
                      "as seen from outside; {} look exchanged",
                      exchanged)};
}

Errors FindBoxFaults(const BoxMarks& box) {
  Errors errors;
  if (box.vertices.size() < kFewestCorners) {
    errors.push_back({box.vertices_place, "surface.vertices",
                      fmt::format("expected at least {} seen corners, there are {}", kFewestCorners,
                                  box.vertices.size())});
    return errors;
  }
  for (size_t i = 0; i < box.vertices.size(); ++i) {
    for (size_t j = 0; j < i; ++j) {
      const BoxVertex &a = box.vertices[j], &b = box.vertices[i];
      if ((a.photo.vector() - b.photo.vector()).norm() >= kLeastSidePx) continue;
      errors.push_back(
          CornerFault(b, fmt::format("expected a corner that lies apart from {}; the two coincide",
                                     kBoxVertexNames[a.index])));
    }
  }
  if (!errors.empty()) return errors;
  int outside = 0, inside = 0;
  for (const WholeFace& whole : WholeFacesOf(box)) {
    if (auto error = FindFaceFault(box, whole)) errors.push_back(*error);
    const QuadFault fault = FindQuadFault(whole.quad);
    outside += fault == QuadFault::kNone ? 1 : 0;
    inside += fault == QuadFault::kMirrored ? 1 : 0;
  }
  if (errors.empty() && inside > outside) errors.push_back(MirroredBox(box));
  return errors;
}

}  // namespace wheatpaste
