#include "geometry/frustum.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/check.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kEqualDiameters = 1e-9;

}  // namespace

bool FrustumSize::is_cylinder() const {
  return std::abs(diameter_top - diameter_bottom) <=
         kEqualDiameters * std::max(diameter_top, diameter_bottom);
}

double FrustumSize::slant() const {
  return is_cylinder() ? height : std::hypot(height, (diameter_top - diameter_bottom) / 2);
}

double FrustumSize::SinHalfAngle() const {
  return is_cylinder() ? 0 : (diameter_top - diameter_bottom) / (2 * slant());
}

double FrustumSize::SlopeOfRadius() const {
  return is_cylinder() ? 0 : (diameter_bottom - diameter_top) / (2 * height);
}

double FrustumSize::RadiusAt(double y_mm) const {
  return diameter_top / 2 + SlopeOfRadius() * y_mm;
}

FlatSector FlatSectorOf(const FrustumSize& size) {
  WHEATPASTE_CHECK(!size.is_cylinder());
  const double wide = std::max(size.diameter_top, size.diameter_bottom);
  const double narrow = std::min(size.diameter_top, size.diameter_bottom);
  FlatSector flat;
  flat.slant = size.slant();
  flat.outer_radius = wide * flat.slant / (wide - narrow);
  flat.inner_radius = narrow * flat.slant / (wide - narrow);
  flat.angle_rad = kPi * (wide - narrow) / flat.slant;
  const double half = flat.angle_rad / 2;
  flat.outer_chord = 2 * flat.outer_radius * std::sin(half);
  flat.inner_chord = 2 * flat.inner_radius * std::sin(half);
  // Beyond half a turn the outer arc is as wide as its circle, and its ends hang lowest.
  flat.width = 2 * flat.outer_radius * std::sin(std::min(half, kPi / 2));
  flat.height = flat.outer_radius -
                std::min(flat.inner_radius * std::cos(half), flat.outer_radius * std::cos(half));
  flat.area = kPi * (wide + narrow) * flat.slant / 2;
  return flat;
}

Eigen::Vector3d ObjectFromSide(const FrustumSize& size, const SidePoint& side) {
  const double a = size.RadiusAt(side.y_mm);
  return {a * std::sin(side.azimuth_rad), side.y_mm, -a * std::cos(side.azimuth_rad)};
}

FlatPattern::FlatPattern(const FrustumSize& size, SurfaceMm origin)
    : size_(size),
      origin_(origin),
      slant_(size.slant()),
      slant_per_height_(size.slant() / size.height),
      sin_b_(size.SinHalfAngle()),
      middle_radius_((size.diameter_top + size.diameter_bottom) / 4),
      middle_from_apex_(sin_b_ == 0 ? 0 : middle_radius_ / sin_b_) {}

SurfaceMm FlatPattern::FlatFromSide(const SidePoint& side) const {
  const double v = side.y_mm * slant_per_height_ - slant_ / 2;
  if (sin_b_ == 0) {
    return {middle_radius_ * side.azimuth_rad - origin_.x, v - origin_.y};
  }
  const double from_apex = middle_from_apex_ - v;  // its sign is that of sin b
  const double half = side.azimuth_rad * sin_b_ / 2;
  const double sine = std::sin(half), cosine = std::cos(half);
  return {2 * from_apex * sine * cosine - origin_.x, v + 2 * from_apex * sine * sine - origin_.y};
}

SidePoint FlatPattern::SideFromFlat(const SurfaceMm& flat) const {
  const double x = flat.x + origin_.x, y = flat.y + origin_.y;
  const auto height_of = [&](double v) { return (v / slant_ + 0.5) * size_.height; };
  if (sin_b_ == 0) return {x / middle_radius_, height_of(y)};
  const double apex = middle_from_apex_;  // its y
  const double sign = sin_b_ > 0 ? 1 : -1;
  const double from_apex = std::hypot(x, y - apex);
  const double angle = std::atan2(x, sign * (apex - y));
  // |apex| - from_apex, without the cancellation where the apex is far away.
  const double v = sign * (2 * y * apex - x * x - y * y) / (std::abs(apex) + from_apex);
  return {angle / std::abs(sin_b_), height_of(v)};
}

SurfaceMm FlatPattern::low() const {
  if (sin_b_ == 0) return FlatFromSide({-kPi, 0});
  const FlatSector flat = FlatSectorOf(size_);
  // The wider rim's middle is the sector's far side from the apex.
  const double top = sin_b_ > 0 ? -slant_ / 2 : slant_ / 2 - flat.height;
  return {-flat.width / 2 - origin_.x, top - origin_.y};
}

SurfaceMm FlatPattern::high() const {
  if (sin_b_ == 0) return FlatFromSide({kPi, size_.height});
  const FlatSector flat = FlatSectorOf(size_);
  const double bottom = sin_b_ > 0 ? flat.height - slant_ / 2 : slant_ / 2;
  return {flat.width / 2 - origin_.x, bottom - origin_.y};
}

FrustumView::FrustumView(const FrustumSize& size, const Eigen::Vector3d& camera)
    : size_(size), camera_(camera), slope_(size.SlopeOfRadius()) {
  const double away = -camera.z();
  radius_there_ = size.RadiusAt(camera.y());
  // away^2 - radius^2 as a product: the camera may stand just outside.
  outside_ = (away - radius_there_) * (away + radius_there_);
  limb_rad_ = away > 0 ? std::acos(std::clamp(radius_there_ / away, -1.0, 1.0))
                       : (radius_there_ < 0 ? kPi : 0);
}

SidePoint FrustumView::Along(const Eigen::Vector3d& direction) const {
  // The side is where f(m) = A m^2 + 2 B m + C is 0 along camera + m direction; outside f > 0, so a ray enters
  // where f falls: A m + B = -sqrt(B^2 - A C).
  const double dy = direction.y();
  const double a =
      direction.x() * direction.x() + direction.z() * direction.z() - slope_ * slope_ * dy * dy;
  const double b = camera_.z() * direction.z() - slope_ * dy * radius_there_;
  const double discriminant = b * b - a * outside_;
  const double root = discriminant > 0 ? std::sqrt(discriminant) : 0;
  const double m = b < 0 ? outside_ / (root - b) : (-b - root) / a;
  const double low = -size_.height, high = 2 * size_.height;
  const bool ahead = m > 0 && m <= std::numeric_limits<double>::max();
  // Nothing ahead: as far as it goes.
  const double y = ahead ? std::clamp(camera_.y() + m * dy, low, high) : (dy > 0 ? high : low);
  if (!ahead || discriminant <= 0) return {std::copysign(limb_rad_, direction.x()), y};
  return {std::atan2(m * direction.x(), -(camera_.z() + m * direction.z())), y};
}

}  // namespace wheatpaste
