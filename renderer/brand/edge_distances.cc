#include "brand/edge_distances.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr double kFar = std::numeric_limits<double>::infinity();
// Nearer than this lies on the edge.
constexpr double kOnEdgeMm = 0.1;
constexpr double kShortestRunMm = 1;
constexpr double kDeepestBleedMm = 10;  // measured so far

struct ShapeDistances {
  std::array<double, 3> nearest{kFar, kFar, kFar};  // by EdgeKind
  std::array<SurfaceMm, 3> place{};
  std::array<bool, 3> crosses{};
  // Signed distances from shared creases, so that a shape on both sides is told.
  std::vector<std::array<double, 2>> sides;
};

// Does the pixel touch another part or the drawing's border?
bool IsOutermost(const FlatDrawing& drawing, int64_t x, int64_t y) {
  if (x == 0 || y == 0 || x + 1 == drawing.size.width || y + 1 == drawing.size.height) return true;
  const size_t at = drawing.At(x, y), row = static_cast<size_t>(drawing.size.width);
  const uint8_t part = drawing.part[at];
  return drawing.part[at - 1] != part || drawing.part[at + 1] != part ||
         drawing.part[at - row] != part || drawing.part[at + row] != part;
}

Eigen::Vector2d PlaceOf(const FlatDrawing& drawing,
                        const Map<SurfaceMm, ArtworkUv>& area_from_artwork, double x, double y) {
  return area_from_artwork({x / static_cast<double>(drawing.size.width),
                            y / static_cast<double>(drawing.size.height)})
      .vector();
}

void Meet(const FlatFace& face, const Eigen::Vector2d& point, double half_px,
          ShapeDistances& shape) {
  const bool inside = face.Holds(point);
  double nearest = kFar;
  EdgeKind nearest_kind = EdgeKind::kTrim;
  for (size_t i = 0; i < face.edges.size(); ++i) {
    const FaceEdge& edge = face.edges[i];
    const double distance = std::max(0.0, DistanceTo(edge, point) - half_px);
    const auto kind = static_cast<size_t>(edge.kind);
    if (distance < nearest && !edge.shared) {
      nearest = distance;
      nearest_kind = edge.kind;
    }
    if (edge.shared) {
      const double side = (point - edge.from).dot(edge.outward);
      shape.sides[i][0] = std::min(shape.sides[i][0], side);
      shape.sides[i][1] = std::max(shape.sides[i][1], side);
    }
    if (distance < shape.nearest[kind]) {
      shape.nearest[kind] = distance;
      shape.place[kind] = {point.x(), point.y()};
    }
    if (!edge.shared && distance <= kOnEdgeMm) shape.crosses[kind] = true;
  }
  if (!inside) shape.crosses[static_cast<size_t>(nearest_kind)] = true;
}

bool IsDrawn(const FlatDrawing& drawing, const Map<ArtworkUv, SurfaceMm>& artwork_from_area,
             const Eigen::Vector2d& point) {
  const ArtworkUv uv = artwork_from_area({point.x(), point.y()});
  const double x = uv.x * static_cast<double>(drawing.size.width);
  const double y = uv.y * static_cast<double>(drawing.size.height);
  if (x < 0 || y < 0 || x >= static_cast<double>(drawing.size.width) ||
      y >= static_cast<double>(drawing.size.height)) {
    return false;
  }
  return drawing.part[drawing.At(static_cast<int64_t>(x), static_cast<int64_t>(y))] !=
         drawing.clear();
}

// Bleed along edges that follow each other; pieces of an arc are one edge.
class BleedWalk {
 public:
  BleedWalk(const FlatDrawing& drawing, const Map<SurfaceMm, ArtworkUv>& area_from_artwork)
      : drawing_(drawing), artwork_from_area_(area_from_artwork.Inverse()) {}

  void Follow(const FaceEdge& edge) {
    const double length = (edge.to - edge.from).norm();
    const Eigen::Vector2d along = (edge.to - edge.from) / length;
    constexpr double kStraightOn = 0.99;
    if (!(along.dot(along_) > kStraightOn && (edge.from - end_).norm() < kOnEdgeMm)) EndRun();
    along_ = along;
    end_ = edge.to;
    kind_ = edge.kind;
    const auto pieces = static_cast<int>(std::ceil(length / std::max(0.25, drawing_.mm_per_px)));
    for (int i = 0; i < pieces; ++i) {
      Visit(edge.from + (i + 0.5) * length / pieces * along, edge.outward, length / pieces);
    }
  }

  void EndRun() {
    if (run_ >= kShortestRunMm && deepest_ < least_.value_or(kFar)) {
      least_ = deepest_;
      least_kind_ = kind_;
    }
    run_ = deepest_ = 0;
  }

  std::optional<double> least() const { return least_; }
  EdgeKind least_kind() const { return least_kind_; }

 private:
  void Visit(const Eigen::Vector2d& point, const Eigen::Vector2d& outward, double length) {
    const double within = std::max(0.25, drawing_.mm_per_px);
    if (!IsDrawn(drawing_, artwork_from_area_, point - within * outward)) return EndRun();
    run_ += length;
    // A quarter of a px, so that the drawing's last pixel counts to its edge.
    const double step = drawing_.mm_per_px / 4;
    double depth = 0;
    while (depth < kDeepestBleedMm &&
           IsDrawn(drawing_, artwork_from_area_, point + (depth + step) * outward)) {
      depth += step;
    }
    deepest_ = std::max(deepest_, depth);
  }

  const FlatDrawing& drawing_;
  Map<ArtworkUv, SurfaceMm> artwork_from_area_;
  Eigen::Vector2d along_ = Eigen::Vector2d::Zero(), end_ = Eigen::Vector2d::Zero();
  EdgeKind kind_ = EdgeKind::kTrim, least_kind_ = EdgeKind::kTrim;
  double run_ = 0, deepest_ = 0;  // mm of edge; mm beyond it
  std::optional<double> least_;
};

}  // namespace

EdgeDistances MeasureEdges(const FlatDrawing& drawing, const Shapes& shapes,
                           const Map<SurfaceMm, ArtworkUv>& area_from_artwork,
                           const FlatFace& face) {
  WHEATPASTE_CHECK(!face.edges.empty());
  const double half_px = drawing.mm_per_px / 2;
  std::vector<ShapeDistances> distances(shapes.shapes.size());
  for (auto& shape : distances) shape.sides.assign(face.edges.size(), {kFar, -kFar});
  for (int64_t y = 0; y < drawing.size.height; ++y) {
    for (int64_t x = 0; x < drawing.size.width; ++x) {
      if (drawing.part[drawing.At(x, y)] == drawing.clear() || !IsOutermost(drawing, x, y)) {
        continue;
      }
      const Eigen::Vector2d point = PlaceOf(
          drawing, area_from_artwork, static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5);
      Meet(face, point, half_px, distances[static_cast<size_t>(shapes.shape_at[drawing.At(x, y)])]);
    }
  }
  EdgeDistances result;
  result.any = kFar;
  const std::array<std::optional<EdgeDistances::Nearest>*, 3> of_kind{&result.trim, &result.crease,
                                                                      &result.seam};
  for (size_t i = 0; i < distances.size(); ++i) {
    if (shapes.shapes[i].part == drawing.clear()) continue;
    ShapeDistances& shape = distances[i];
    for (size_t k = 0; k < face.edges.size(); ++k) {
      const FaceEdge& edge = face.edges[k];
      if (edge.shared && shape.sides[k][0] < -kOnEdgeMm && shape.sides[k][1] > kOnEdgeMm) {
        shape.crosses[static_cast<size_t>(edge.kind)] = true;
      }
    }
    for (size_t kind = 0; kind < of_kind.size(); ++kind) {
      result.any = std::min(result.any, shape.crosses[kind] ? 0 : shape.nearest[kind]);
      if (shape.crosses[kind] || shape.nearest[kind] == kFar) continue;
      std::optional<EdgeDistances::Nearest>& nearest = *of_kind[kind];
      if (nearest && nearest->mm <= shape.nearest[kind]) continue;
      nearest = {shape.nearest[kind], shape.place[kind]};
    }
  }
  BleedWalk walk(drawing, area_from_artwork);
  for (const FaceEdge& edge : face.edges) {
    if (!edge.shared && edge.kind != EdgeKind::kSeam) walk.Follow(edge);
  }
  walk.EndRun();
  result.bleed = walk.least();
  result.bleed_kind = walk.least_kind();
  return result;
}

}  // namespace wheatpaste
