#include "surface/plane_chart.h"

#include <algorithm>
#include <array>

#include "surface/outline_region.h"

namespace wheatpaste {
namespace {

std::array<SurfaceMm, 4> CornersOf(const SurfaceMm& size) {
  return {{{0, 0}, {size.x, 0}, {size.x, size.y}, {0, size.y}}};
}

}  // namespace

PrintArea RectangleArea(const SurfaceMm& size) {
  return {{0, 0}, size, {size.x / 2, size.y / 2}, {}};
}

ChartPicture PlaneChart::Picture(const Frame& frame) const {
  if (!lens_.is_straight()) return SmoothChart::Picture(frame);
  ChartPicture picture;
  std::vector<PhotoPx> corners;
  for (const SurfaceMm& corner : CornersOf(size_)) corners.push_back(ideal_from_surface_(corner));
  const std::vector<std::vector<Eigen::Vector2d>> outlines{ToOutput(frame, corners)};
  picture.region = RegionOf(outlines, frame.size);
  if (picture.region.empty()) return picture;
  picture.seen = CoverageOf(outlines, picture.region);
  picture.output_from_surface = frame.output_from_photo() * ideal_from_surface_;
  return picture;
}

std::optional<Image<NormalPlanes>> PlaneChart::Normals(const Frame&, const RectPx& region) const {
  if (!normal_) return std::nullopt;
  Image<NormalPlanes> normals({region.width(), region.height()});
  for (int plane = 0; plane < NormalPlanes::kPlanes; ++plane) {
    for (int64_t y = 0; y < normals.height(); ++y) {
      std::fill_n(normals.row(plane, y), normals.width(), static_cast<float>((*normal_)(plane)));
    }
  }
  return normals;
}

std::vector<Polygon> PlaneChart::Outlines(double) const {
  // Bent sides: this many pieces stray by 1/8 (side curvature) (length / pieces)^2, below a hundredth of a px
  // for any side of some thousand px.
  constexpr int kPieces = 256;
  Polygon outline;
  const auto corners = CornersOf(size_);
  for (size_t side = 0; side < 4; ++side) {
    const SurfaceMm &a = corners[side], &b = corners[(side + 1) % 4];
    // Even steps in the picture, not in mm.
    const PhotoPx pa = ideal_from_surface_(a), pb = ideal_from_surface_(b);
    for (int i = 0; i < kPieces; ++i) {
      const double t = static_cast<double>(i) / kPieces;
      outline.push_back(lens_.PhotoFromIdeal({pa.x + t * (pb.x - pa.x), pa.y + t * (pb.y - pa.y)}));
    }
  }
  return {outline};
}

void PlaneChart::MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const {
  for (int64_t i = 0; i < count; ++i) {
    mm[i] = surface_from_ideal_(lens_.IdealFromPhoto({x0 + static_cast<double>(i) * step, y}));
  }
}

}  // namespace wheatpaste
