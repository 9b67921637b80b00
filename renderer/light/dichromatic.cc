#include "light/dichromatic.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Core>

namespace wheatpaste {
namespace {

constexpr double kMostCondition = 8;  // 14 degrees between unit directions

}  // namespace

Dichromatic SplitDichromatic(const std::array<double, 3>& pixel,
                             const std::array<double, 3>& albedo,
                             const std::array<double, 3>& light) {
  const Eigen::Map<const Eigen::Vector3d> i(pixel.data()), a(albedo.data()), e(light.data());
  const double aa = a.dot(a), ae = a.dot(e), ee = e.dot(e);
  const double determinant = aa * ee - ae * ae, half = (aa + ee) / 2;
  const double larger = half + std::sqrt(std::max(0.0, half * half - determinant));
  Dichromatic split;
  split.condition = std::numeric_limits<double>::infinity();
  if (!(determinant > 0)) return split;
  split.condition = larger / std::sqrt(determinant);
  split.body = (ee * a.dot(i) - ae * e.dot(i)) / determinant;
  split.mirror = (aa * e.dot(i) - ae * a.dot(i)) / determinant;
  return split;
}

bool HasColour(const std::array<double, 3>& albedo) {
  const double length = std::hypot(albedo[0], albedo[1], albedo[2]), third = std::sqrt(1.0 / 3);
  const std::array<double, 3> direction{albedo[0] / length, albedo[1] / length, albedo[2] / length};
  return SplitDichromatic(direction, direction, {third, third, third}).condition <= kMostCondition;
}

}  // namespace wheatpaste
