#include "geometry/lens.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace wheatpaste {
namespace {

double Bent(double r, double k1, double k2) { return r * (1 + r * r * (k1 + k2 * r * r)); }

}  // namespace

double Lens::MostRadius() const {
  // The derivative 1 + 3 k1 q + 5 k2 q^2, q = r^2, is 0 there.
  constexpr double kNever = std::numeric_limits<double>::infinity();
  if (k2 == 0) return k1 < 0 ? std::sqrt(-1 / (3 * k1)) : kNever;
  const double discriminant = 9 * k1 * k1 - 20 * k2;
  if (discriminant < 0) return kNever;
  double least = kNever;
  for (const double sign : {-1.0, 1.0}) {
    const double q = (-3 * k1 + sign * std::sqrt(discriminant)) / (10 * k2);
    if (q > 0) least = std::min(least, q);
  }
  return std::sqrt(least);
}

PhotoPx Lens::PhotoFromIdeal(const PhotoPx& ideal) const {
  if (is_straight()) return ideal;
  const double x = ideal.x - principal.x, y = ideal.y - principal.y;
  const double r = std::hypot(x, y) / focal_px;
  if (r == 0) return ideal;
  const double share = Bent(std::min(r, MostRadius()), k1, k2) / r;
  return {principal.x + share * x, principal.y + share * y};
}

PhotoPx Lens::IdealFromPhoto(const PhotoPx& photo) const {
  if (is_straight()) return photo;
  const double x = photo.x - principal.x, y = photo.y - principal.y;
  const double bent = std::hypot(x, y) / focal_px;
  if (bent == 0) return photo;
  const double most = MostRadius();
  double low = 0, high = most;
  if (std::isinf(most)) {
    for (high = bent + 1; Bent(high, k1, k2) < bent;) high *= 2;
  }
  double r = std::min(bent, high);
  // Newton's steps, kept within a bracket that halves where they would leave it.
  for (int i = 0; i < 60; ++i) {
    const double miss = Bent(r, k1, k2) - bent;
    (miss > 0 ? high : low) = r;
    const double slope = 1 + r * r * (3 * k1 + 5 * k2 * r * r);
    double next = slope > 1e-9 ? r - miss / slope : (low + high) / 2;
    if (!(next >= low && next <= high)) next = (low + high) / 2;
    if (std::abs(next - r) <= 1e-15 * (1 + r)) break;
    r = next;
  }
  const double share = r / bent;
  return {principal.x + share * x, principal.y + share * y};
}

Eigen::Matrix2d Lens::IdealChange(const PhotoPx& photo) const {
  if (is_straight()) return Eigen::Matrix2d::Identity();
  constexpr double kStep = 0.05;
  const auto ideal = [&](double dx, double dy) {
    return IdealFromPhoto({photo.x + dx, photo.y + dy}).vector();
  };
  Eigen::Matrix2d change;
  change << (ideal(kStep, 0) - ideal(-kStep, 0)) / (2 * kStep),
      (ideal(0, kStep) - ideal(0, -kStep)) / (2 * kStep);
  return change;
}

}  // namespace wheatpaste
