#include "composite/shown_scale.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/SVD>

namespace wheatpaste {
namespace {

// How far off the centre the place is that was found, mm.
struct Found {
  ShownScale scale;
  double off_mm = std::numeric_limits<double>::infinity();
};

// px_from_mm  the Jacobian at `at`.
std::optional<ShownScale> ScaleOf(const Eigen::Matrix2d& px_from_mm, const OutputPx& at) {
  const Eigen::Vector2d s = px_from_mm.jacobiSvd().singularValues();
  const ShownScale scale{s(0), std::sqrt(s(0) * s(1)), at};
  if (!(scale.mean > 0) || !std::isfinite(scale.largest)) return std::nullopt;
  return scale;
}

Found ScaleAt(const ChartPicture& picture, const SurfaceMm& at) {
  if (picture.region.empty()) return {};
  if (picture.output_from_surface) {
    const auto& output_from_surface = *picture.output_from_surface;
    const auto scale = ScaleOf(output_from_surface.Jacobian(at), output_from_surface(at));
    return scale ? Found{*scale, 0} : Found{};
  }
  const auto mm = picture.mm.view();
  double nearest = std::numeric_limits<double>::infinity();  // squared
  int64_t found_x = 0, found_y = 0;
  for (int64_t y = 0; y < mm.height(); ++y) {
    const float *seen = picture.seen.row(0, y), *mm_x = mm.row(0, y), *mm_y = mm.row(1, y);
    for (int64_t x = 0; x < mm.width(); ++x) {
      if (!(seen[x] > 0)) continue;
      const double dx = mm_x[x] - at.x, dy = mm_y[x] - at.y, off = dx * dx + dy * dy;
      if (!(off < nearest)) continue;
      nearest = off;
      found_x = x;
      found_y = y;
    }
  }
  if (!std::isfinite(nearest)) return {};
  Eigen::Matrix2d mm_from_px;
  const auto value = [&](int plane) { return double{mm.row(plane, found_y)[found_x]}; };
  mm_from_px << value(2), value(3), value(4), value(5);
  if (!(std::abs(mm_from_px.determinant()) > 0)) return {};
  const OutputPx pixel{static_cast<double>(picture.region.x0 + found_x) + 0.5,
                       static_cast<double>(picture.region.y0 + found_y) + 0.5};
  const auto scale = ScaleOf(mm_from_px.inverse(), pixel);
  return scale ? Found{*scale, std::sqrt(nearest)} : Found{};
}

}  // namespace

std::optional<ShownScale> ScaleShown(const FittedSurface& fitted, const Placement& placement,
                                     const SurfaceMm& centre,
                                     const std::vector<FacePicture>& pictures) {
  const PlacedArea placed = AreaOf(fitted, placement);
  std::optional<ShownScale> best;
  double best_beyond = std::numeric_limits<double>::infinity();
  for (size_t i = 0; i < placed.faces.size(); ++i) {
    const Face& face = fitted.faces[placed.faces[i]];
    const SurfaceMm at = placed.area_from_face[i].Inverse()(centre);
    // The face that holds the centre, else the one nearest to it.
    const double beyond = std::max({face.area.low.x - at.x, at.x - face.area.high.x,
                                    face.area.low.y - at.y, at.y - face.area.high.y, 0.0});
    for (const FacePicture& shown : pictures) {
      if (shown.face != placed.faces[i]) continue;
      const Found found = ScaleAt(*shown.picture, at);
      if (!(beyond + found.off_mm < best_beyond)) continue;
      best = found.scale;
      best_beyond = beyond + found.off_mm;
    }
  }
  return best;
}

std::optional<ShownScale> ScaleShown(const PreparedScene& prepared, const Placement& placement,
                                     const SurfaceMm& centre) {
  std::vector<FacePicture> pictures;
  for (const PreparedChart& chart : prepared.surfaces[placement.surface].charts) {
    pictures.push_back({chart.face, &chart.picture});
  }
  auto scale = ScaleShown(prepared.solved.surfaces[placement.surface], placement, centre, pictures);
  if (!scale) return scale;
  const double enlarged = prepared.enlarged();
  return ShownScale{scale->largest * enlarged,
                    scale->mean * enlarged,
                    {scale->at.x * enlarged, scale->at.y * enlarged}};
}

}  // namespace wheatpaste
