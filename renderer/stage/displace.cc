#include "stage/displace.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <fmt/format.h>

namespace wheatpaste {
namespace {

// The picture's value and its slope per texture mm.
struct Height {
  double value = 0;
  Eigen::Vector2d slope{0, 0};
};

class HeightPicture {
 public:
  explicit HeightPicture(const Relief& relief)
      : relief_(relief), cosine_(std::cos(relief.turn_rad)), sine_(std::sin(relief.turn_rad)) {}

  Height At(const Eigen::Vector2d& texture_mm) const {
    const auto width = relief_.height.width(), height = relief_.height.height();
    const Eigen::Vector2d turned(cosine_ * texture_mm.x() + sine_ * texture_mm.y(),
                                 cosine_ * texture_mm.y() - sine_ * texture_mm.x());
    const Eigen::Vector2d per_mm(static_cast<double>(width) / relief_.tile_mm.x(),
                                 static_cast<double>(height) / relief_.tile_mm.y());
    const double x = turned.x() * per_mm.x() - 0.5, y = turned.y() * per_mm.y() - 0.5;
    const double fx = std::floor(x), fy = std::floor(y), u = x - fx, v = y - fy;
    const auto pixel = [&](int dx, int dy) {
      const auto wrap = [](double at, int64_t count) {
        const double of = std::fmod(at, static_cast<double>(count));
        return static_cast<int64_t>(of < 0 ? of + static_cast<double>(count) : of);
      };
      const int64_t row = height - 1 - wrap(fy + dy, height);
      return static_cast<double>(relief_.height.row(row)[wrap(fx + dx, width)]);
    };
    const double a = pixel(0, 0), b = pixel(1, 0), c = pixel(0, 1), d = pixel(1, 1);
    const double mm = relief_.height_mm;
    const Eigen::Vector2d slope(mm * ((1 - v) * (b - a) + v * (d - c)) * per_mm.x(),
                                mm * ((1 - u) * (c - a) + u * (d - b)) * per_mm.y());
    return {mm * ((1 - v) * ((1 - u) * a + u * b) + v * ((1 - u) * c + u * d)),
            {cosine_ * slope.x() - sine_ * slope.y(), sine_ * slope.x() + cosine_ * slope.y()}};
  }

 private:
  const Relief& relief_;
  double cosine_, sine_;
};

uint64_t EdgeKey(int32_t a, int32_t b) {
  return static_cast<uint64_t>(std::min(a, b)) << 32 | static_cast<uint32_t>(std::max(a, b));
}

SolidTriangle WithCorners(const SolidTriangle& from, const std::array<SolidTriangle, 3>& sources,
                          const std::array<size_t, 3>& corners) {
  SolidTriangle to = from;
  for (size_t k = 0; k < 3; ++k) {
    to.vertices[k] = sources[k].vertices[corners[k]];
    to.normals[k] = sources[k].normals[corners[k]];
    to.texture_mm[k] = sources[k].texture_mm[corners[k]];
    to.sheet[k] = sources[k].sheet[corners[k]];
  }
  return to;
}

// Halves every edge of the part that is longer than `longest`, until none is. False where there are too many triangles.
bool HalveEdges(Solid& solid, int32_t part, double longest) {
  while (true) {
    std::unordered_map<uint64_t, int32_t> middles;  // of edges to be halved
    const double longest2 = longest * longest;
    for (const SolidTriangle& triangle : solid.triangles) {
      if (triangle.part != part) continue;
      for (size_t k = 0; k < 3; ++k) {
        const int32_t a = triangle.vertices[k], b = triangle.vertices[(k + 1) % 3];
        const Eigen::Vector3d &pa = solid.vertices[static_cast<size_t>(a)],
                              &pb = solid.vertices[static_cast<size_t>(b)];
        if ((pa - pb).squaredNorm() <= longest2) continue;
        const Eigen::Vector3d middle = (pa + pb) / 2;
        const auto [it, added] =
            middles.try_emplace(EdgeKey(a, b), static_cast<int32_t>(solid.vertices.size()));
        if (added) solid.vertices.push_back(middle);
      }
    }
    if (middles.empty()) return true;
    std::vector<SolidTriangle> finer;
    finer.reserve(solid.triangles.size() * 2);
    for (const SolidTriangle& triangle : solid.triangles) {
      // Neighbours of another part follow, or a crack would open.
      std::array<int32_t, 3> middle{-1, -1, -1};
      SolidTriangle halves = triangle;  // its corner k: the middle of edge k
      int count = 0;
      for (size_t k = 0; k < 3; ++k) {
        const size_t next = (k + 1) % 3;
        const auto it = middles.find(EdgeKey(triangle.vertices[k], triangle.vertices[next]));
        if (it == middles.end()) continue;
        ++count;
        middle[k] = halves.vertices[k] = it->second;
        const Eigen::Vector3d sum = triangle.normals[k] + triangle.normals[next];
        halves.normals[k] =
            sum.norm() > 0 ? Eigen::Vector3d(sum.normalized()) : triangle.normals[k];
        halves.texture_mm[k] = (triangle.texture_mm[k] + triangle.texture_mm[next]) / 2;
        halves.sheet[k] = {(triangle.sheet[k].x + triangle.sheet[next].x) / 2,
                           (triangle.sheet[k].y + triangle.sheet[next].y) / 2};
      }
      const SolidTriangle &t = triangle, &h = halves;
      if (count == 0) {
        finer.push_back(t);
      } else if (count == 3) {
        finer.push_back(WithCorners(t, {t, h, h}, {0, 0, 2}));
        finer.push_back(WithCorners(t, {h, t, h}, {0, 1, 1}));
        finer.push_back(WithCorners(t, {h, h, t}, {2, 1, 2}));
        finer.push_back(h);
      } else {
        // Turned so that edge 0 is halved, and of two the other is edge 1.
        size_t first = 0;
        while (middle[first] < 0 || (count == 2 && middle[(first + 1) % 3] < 0)) ++first;
        const size_t a = first, b = (first + 1) % 3, c = (first + 2) % 3;
        finer.push_back(WithCorners(t, {h, t, count == 2 ? h : t}, {a, b, count == 2 ? b : c}));
        if (count == 2) finer.push_back(WithCorners(t, {h, h, t}, {a, b, c}));
        finer.push_back(WithCorners(t, {t, h, t}, {a, a, c}));
      }
      if (static_cast<int64_t>(finer.size()) > kMaxDisplacedTriangles) return false;
    }
    solid.triangles = std::move(finer);
  }
}

// What the normal loses to the slope of the height along the surface.
Eigen::Vector3d SlopeIn(const Solid& solid, const SolidTriangle& triangle,
                        const Eigen::Vector3d& normal, const Eigen::Vector2d& slope) {
  Eigen::Matrix<double, 3, 2> edges;
  Eigen::Matrix2d flat;
  for (int k = 0; k < 2; ++k) {
    edges.col(k) = solid.vertices[static_cast<size_t>(triangle.vertices[k + 1])] -
                   solid.vertices[static_cast<size_t>(triangle.vertices[0])];
    flat.col(k) = triangle.texture_mm[k + 1] - triangle.texture_mm[0];
  }
  if (!(std::abs(flat.determinant()) > 1e-12)) return {0, 0, 0};
  const Eigen::Matrix<double, 3, 2> per_mm = edges * flat.inverse();
  const Eigen::Matrix2d metric = per_mm.transpose() * per_mm;
  if (!(metric.determinant() > 1e-12)) return {0, 0, 0};
  const Eigen::Vector3d gradient = per_mm * (metric.inverse() * slope);
  return gradient - gradient.dot(normal) * normal;
}

}  // namespace

Result<Solid> Displace(Solid solid, int32_t part, const Relief& relief,
                       const Placed<double>& displacement) {
  WHEATPASTE_CHECK(relief.height.width() > 0 && relief.height.height() > 0);
  const double texel = std::min(relief.tile_mm.x() / static_cast<double>(relief.height.width()),
                                relief.tile_mm.y() / static_cast<double>(relief.height.height()));
  const double longest = std::max(kDisplaceTexels * texel, relief.finest_mm);
  // No triangle whose edges are at most `longest` is larger than the equilateral one.
  double area = 0;
  for (const SolidTriangle& triangle : solid.triangles) {
    if (triangle.part != part) continue;
    const auto at = [&](size_t k) {
      return solid.vertices[static_cast<size_t>(triangle.vertices[k])];
    };
    area += (at(1) - at(0)).cross(at(2) - at(0)).norm() / 2;
  }
  const double least = area / (std::sqrt(3.0) / 4 * longest * longest);
  if (least > static_cast<double>(kMaxDisplacedTriangles) || !HalveEdges(solid, part, longest)) {
    return Error{
        displacement.place, fmt::format("{} = {:g}", displacement.key, displacement.value),
        fmt::format("needs more than {} triangles, each of about {:.2g} mm; expected a smaller "
                    "thing or a larger tile_mm, or a normal picture in its place",
                    kMaxDisplacedTriangles, longest)};
  }
  const HeightPicture picture(relief);
  struct Moved {
    Eigen::Vector3d normal{0, 0, 0};
    double height = 0;
    int corners = 0;
  };
  std::vector<Moved> moved(solid.vertices.size());
  for (const SolidTriangle& triangle : solid.triangles) {
    if (triangle.part != part) continue;
    for (size_t k = 0; k < 3; ++k) {
      Moved& to = moved[static_cast<size_t>(triangle.vertices[k])];
      to.normal += triangle.normals[k];
      to.height += picture.At(triangle.texture_mm[k]).value;
      ++to.corners;
    }
  }
  for (SolidTriangle& triangle : solid.triangles) {
    if (triangle.part != part) continue;
    const SolidTriangle before = triangle;
    for (size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3d& normal = before.normals[k];
      const Height height = picture.At(before.texture_mm[k]);
      triangle.normals[k] = (normal - SlopeIn(solid, before, normal, height.slope)).normalized();
    }
  }
  for (size_t i = 0; i < moved.size(); ++i) {
    if (moved[i].corners == 0 || !(moved[i].normal.norm() > 0)) continue;
    solid.vertices[i] += moved[i].height / moved[i].corners * moved[i].normal.normalized();
  }
  return solid;
}

}  // namespace wheatpaste
