#include "composite/contact.h"

#include <algorithm>
#include <cmath>

#include "composite/wrinkle.h"
#include "image/elliptical_average.h"

namespace wheatpaste {
namespace {

// The filter (1 - q)^2 has its outermost point this many standard deviations from its middle (elliptical_average.h).
const double kFilterReach = std::sqrt(8.0);

double TanOf(const Eigen::Vector3d& light_from) {
  return std::min(kMostTan, light_from.head<2>().norm() / light_from.z());
}

// `from` moved by (u, v) artwork px.
void Shift(const FootprintBuffer& from, const Eigen::Vector2d& by, FootprintBuffer& to) {
  to = from;
  const auto u = static_cast<float>(by.x()), v = static_cast<float>(by.y());
  for (float& value : to.u) value += u;
  for (float& value : to.v) value += v;
}

// Grows each footprint to the second moments that it has when moved evenly along `path`: the filter's variance per
// axis is R^2 / 8 J J^T, that of an even spread path path^T / 12. The result is the lower triangular root.
void Stretch(const Eigen::Vector2d& path, FootprintBuffer& footprints) {
  const double share = 8 / (12 * double{kFilterRadiusPx} * double{kFilterRadiusPx});
  const double uu = share * path.x() * path.x(), uv = share * path.x() * path.y(),
               vv = share * path.y() * path.y();
  for (size_t i = 0; i < footprints.u.size(); ++i) {
    const double ux = double{footprints.du_dx[i]}, uy = double{footprints.du_dy[i]};
    const double vx = double{footprints.dv_dx[i]}, vy = double{footprints.dv_dy[i]};
    const double a = std::sqrt(ux * ux + uy * uy + uu);
    const double b = a > 0 ? (ux * vx + uy * vy + uv) / a : 0;
    footprints.du_dx[i] = static_cast<float>(a);
    footprints.du_dy[i] = 0;
    footprints.dv_dx[i] = static_cast<float>(b);
    footprints.dv_dy[i] =
        static_cast<float>(std::sqrt(std::max(0.0, vx * vx + vy * vy + vv - b * b)));
  }
}

}  // namespace

double ShadowReachMm(const Placement& placement, const Eigen::Vector3d& light_from) {
  const double path = 2 * placement.thickness_mm * TanOf(light_from);
  return path * (0.5 + kFilterReach / std::sqrt(12.0));
}

Contact ContactOf(const Placement& placement, const Eigen::Vector3d& light_from,
                  const Map<ArtworkPx, SurfaceMm>& artwork_from_surface, const SurfaceMm& printed,
                  SizePx raster, SizePx slopes) {
  WHEATPASTE_CHECK_OP(light_from.z(), >, 0);
  Contact contact;
  const double tan = TanOf(light_from), across = light_from.head<2>().norm();
  if (!(across > 0)) return contact;  // from straight above: no side is in shadow, no slope shows
  const Eigen::Vector2d towards = light_from.head<2>() / across;
  // The map is affine: one mm on the surface is the same everywhere on the artwork.
  const Eigen::Vector2d px = artwork_from_surface.Jacobian({0, 0}) * towards;
  if (placement.thickness_mm > 0) {
    contact.thick = true;
    contact.shadow = 2 * placement.thickness_mm * tan * px;
    contact.edge = std::min(placement.thickness_mm, kMostEdgeMm) * px;
    contact.gain = kDirectShare * std::max(0.0, (1 + tan) / std::sqrt(2.0) - 1);
  }
  if (placement.wrinkle > 0) {
    contact.wrinkled = true;
    const Eigen::Vector2d raster_px(static_cast<double>(raster.width),
                                    static_cast<double>(raster.height));
    const Eigen::Vector2d mm =
        px.cwiseProduct(Eigen::Vector2d(printed.x, printed.y).cwiseQuotient(raster_px));
    contact.shading = -kMostWrinkle * placement.wrinkle * std::min(1.0, tan) * mm.normalized();
    contact.slopes_from_artwork =
        Eigen::Vector2d(static_cast<double>(slopes.width), static_cast<double>(slopes.height))
            .cwiseQuotient(raster_px);
  }
  return contact;
}

void LookUpContact(const Contact& contact, const Pyramid& artwork, const Pyramid* slopes,
                   const FootprintBuffer& footprints, ContactScratch& scratch, ContactRow& row) {
  const size_t count = footprints.u.size();
  for (auto& plane : scratch.unused) plane.resize(count);
  float* const unused[3] = {scratch.unused[0].data(), scratch.unused[1].data(),
                            scratch.unused[2].data()};
  if (contact.thick) {
    for (auto* alpha : {&scratch.shadow, &scratch.edge}) alpha->resize(count);
    Shift(footprints, contact.shadow / 2, scratch.footprints);
    Stretch(contact.shadow, scratch.footprints);
    AverageEllipses(artwork, scratch.footprints.row(),
                    {unused[0], unused[1], unused[2], scratch.shadow.data()});
    Shift(footprints, contact.edge, scratch.footprints);
    AverageEllipses(artwork, scratch.footprints.row(),
                    {unused[0], unused[1], unused[2], scratch.edge.data()});
    row.shadow = scratch.shadow.data();
    row.edge = scratch.edge.data();
  }
  if (contact.wrinkled) {
    for (auto* slope : {&scratch.slope_u, &scratch.slope_v}) slope->resize(count);
    const auto scale_u = static_cast<float>(contact.slopes_from_artwork.x());
    const auto scale_v = static_cast<float>(contact.slopes_from_artwork.y());
    Shift(footprints, contact.origin, scratch.footprints);
    for (size_t i = 0; i < count; ++i) {
      scratch.footprints.u[i] *= scale_u;
      scratch.footprints.du_dx[i] *= scale_u;
      scratch.footprints.du_dy[i] *= scale_u;
      scratch.footprints.v[i] *= scale_v;
      scratch.footprints.dv_dx[i] *= scale_v;
      scratch.footprints.dv_dy[i] *= scale_v;
    }
    AverageEllipses(*slopes, scratch.footprints.row(),
                    {scratch.slope_u.data(), scratch.slope_v.data(), unused[0], unused[1]});
    row.slope_u = scratch.slope_u.data();
    row.slope_v = scratch.slope_v.data();
  }
}

void KeepLight(const InkRow& print, ContactScratch& scratch, ContactRow& row) {
  row.count = print.count;
  row.alpha = print.alpha;
  row.seen = print.seen;
  for (size_t k = 0; k < 3; ++k) {
    scratch.before[k].assign(print.light[k], print.light[k] + print.count);
    row.before[k] = scratch.before[k].data();
    row.light[k] = print.light[k];
  }
}

void ApplyContact(const Contact& contact, const ContactRow& row) {
  const auto gain = static_cast<float>(contact.gain);
  const auto shading_u = static_cast<float>(contact.shading.x());
  const auto shading_v = static_cast<float>(contact.shading.y());
  for (int64_t i = 0; i < row.count; ++i) {
    const float alpha = row.alpha[i], seen = row.seen[i];
    float of_before = 0, f = 0;  // L'' - L' = of_before L + f (L' - G)
    if (contact.thick) {
      const float bright = std::max(0.0f, alpha - row.edge[i]);
      of_before = seen * (gain * bright - ShadowAt(row, i));
    }
    if (contact.wrinkled) f = shading_u * row.slope_u[i] + shading_v * row.slope_v[i];
    const float past = 1 - seen * alpha;
    for (int k = 0; k < 3; ++k) {
      const float before = row.before[k][i], light = row.light[k][i];
      row.light[k][i] = light + of_before * before + f * (light - past * before);
    }
  }
}

}  // namespace wheatpaste
