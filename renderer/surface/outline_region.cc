#include "surface/outline_region.h"

#include <algorithm>
#include <cmath>

#include "image/polygon_coverage.h"

namespace wheatpaste {

Bounds BoundsOf(std::span<const Eigen::Vector2d> points) {
  Bounds bounds{points.front(), points.front()};
  for (const Eigen::Vector2d& p : points) {
    bounds.low = bounds.low.cwiseMin(p);
    bounds.high = bounds.high.cwiseMax(p);
  }
  return bounds;
}

std::vector<Eigen::Vector2d> ToOutput(const Frame& frame, std::span<const PhotoPx> points) {
  const Map<OutputPx, PhotoPx> output_from_photo = frame.output_from_photo();
  std::vector<Eigen::Vector2d> output;
  output.reserve(points.size());
  for (const PhotoPx& p : points) output.push_back(output_from_photo(p).vector());
  return output;
}

RectPx RegionOf(std::span<const std::vector<Eigen::Vector2d>> outlines, SizePx picture) {
  std::vector<Eigen::Vector2d> corners;
  for (const auto& outline : outlines) {
    if (outline.empty()) continue;
    const Bounds bounds = BoundsOf(outline);
    corners.push_back(bounds.low);
    corners.push_back(bounds.high);
  }
  if (corners.empty()) return {};
  const Bounds bounds = BoundsOf(corners);
  // Outlines may run far off the picture; whole numbers stay whole.
  const auto whole = [](double v) {
    constexpr double kFar = 1e8;
    return static_cast<int64_t>(std::clamp(v, -kFar, kFar));
  };
  const RectPx region{whole(std::floor(bounds.low.x())), whole(std::floor(bounds.low.y())),
                      whole(std::ceil(bounds.high.x())), whole(std::ceil(bounds.high.y()))};
  const RectPx within = Intersect(region, WholeOf(picture));
  return within.empty() ? RectPx{} : within;
}

Image<Coverage> CoverageOf(std::span<const std::vector<Eigen::Vector2d>> outlines,
                           const RectPx& region) {
  Image<Coverage> seen;
  for (const auto& outline : outlines) {
    if (outline.empty()) continue;
    Image<Coverage> more = PolygonCoverage(outline, region);
    if (seen.size().area() == 0) {
      seen = std::move(more);
      continue;
    }
    for (int64_t y = 0; y < seen.height(); ++y) {
      float* to = seen.row(0, y);
      const float* from = more.row(0, y);
      for (int64_t x = 0; x < seen.width(); ++x) to[x] = std::min(1.0f, to[x] + from[x]);
    }
  }
  return seen;
}

}  // namespace wheatpaste
