#include "light/light_direction.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr double kRadPerDegree = std::numbers::pi / 180;

// What is left of the ratio's skewness for 1 / tan(slant) = `by`, over its variance to the power 3/2.
double SkewnessFor(double by, const GridShape& shape, const GridValues& ratio,
                   const std::vector<double>& weights, const GridValues& unit_heights,
                   const std::vector<Eigen::Vector2d>& shift) {
  // Bands of moments: weight, and its first three powers about 1.
  double area = 0, m1 = 0, m2 = 0, m3 = 0;
  const auto across = size_t{1}, down = static_cast<size_t>(shape.columns);
  for (int j = 1; j + 1 < shape.rows; ++j) {
    for (int i = 1; i + 1 < shape.columns; ++i) {
      const size_t k = shape.at(i, j);
      if (!(weights[k] > 0)) continue;
      const Eigen::Vector2d g((unit_heights[k + across] - unit_heights[k - across]),
                              (unit_heights[k + down] - unit_heights[k - down]));
      const Eigen::Vector2d slope = g * (by / (2 * shape.step));
      const double v = std::max(0.1, 1 + shift[k].dot(slope));
      const double x = ratio[k] * std::sqrt(1 + slope.squaredNorm()) - 1;
      area += v;
      m1 += v * x;
      m2 += v * x * x;
      m3 += v * x * x * x;
    }
  }
  if (!(area > 0)) return 0;
  m1 /= area;
  m2 /= area;
  m3 /= area;
  const double variance = m2 - m1 * m1;
  return (m3 - 3 * m1 * m2 + 2 * m1 * m1 * m1) / std::pow(std::max(variance, 1e-12), 1.5);
}

}  // namespace

Eigen::Vector2d LightDirection::Slopes() const {
  return std::tan(slant_rad) * Eigen::Vector2d(std::cos(tilt_rad), std::sin(tilt_rad));
}

Eigen::Vector2d EstimateTilt(const GridShape& shape, const GridValues& ratio,
                             const std::vector<double>& weights, const Eigen::Vector2d& above) {
  double xx = 0, xy = 0, yy = 0;
  const auto across = size_t{1}, down = static_cast<size_t>(shape.columns);
  for (int j = 1; j + 1 < shape.rows; ++j) {
    for (int i = 1; i + 1 < shape.columns; ++i) {
      const size_t k = shape.at(i, j);
      if (!(std::min({weights[k - across], weights[k + across], weights[k - down],
                      weights[k + down]}) > 0)) {
        continue;
      }
      const double x = ratio[k + across] - ratio[k - across];
      const double y = ratio[k + down] - ratio[k - down];
      xx += x * x;
      xy += x * y;
      yy += y * y;
    }
  }
  const double angle = std::atan2(2 * xy, xx - yy) / 2;
  const Eigen::Vector2d axis(std::cos(angle), std::sin(angle));
  return axis.dot(above) < 0 ? Eigen::Vector2d(-axis) : axis;
}

double EstimateSlant(const GridShape& shape, const GridValues& ratio,
                     const std::vector<double>& weights, const GridValues& unit_heights,
                     const std::vector<Eigen::Vector2d>& shift) {
  const double least = 1 / std::tan(kMostSlantDegrees * kRadPerDegree);
  const double most = 1 / std::tan(kLeastSlantDegrees * kRadPerDegree);
  const auto skewness = [&](double by) {
    return SkewnessFor(by, shape, ratio, weights, unit_heights, shift);
  };
  constexpr int kSteps = 24;
  double low = least, at_low = skewness(low);
  // The first place where it changes sign, from grazing light on.
  for (int step = 1; step <= kSteps; ++step) {
    double high = least + (most - least) * step / kSteps;
    const double at_high = skewness(high);
    if ((at_low < 0) != (at_high < 0)) {
      for (int k = 0; k < 20; ++k) {
        const double middle = (low + high) / 2;
        ((skewness(middle) < 0) == (at_low < 0) ? low : high) = middle;
      }
      return 2 / (low + high);
    }
    low = high;
    at_low = at_high;
  }
  return std::tan(kUsualSlantDegrees * kRadPerDegree);
}

std::string SideOf(const Eigen::Vector3d& to_light) {
  const double right = to_light.x(), up = -to_light.y();
  const double most = std::max(std::abs(right), std::abs(up));
  if (!(most > 0.1 * to_light.norm())) return "the camera";
  // An eighth of a turn each.
  constexpr double kEighth = 0.4142;
  const bool vertical = std::abs(up) > kEighth * most, level = std::abs(right) > kEighth * most;
  const std::string high = up > 0 ? (level ? "upper" : "top") : (level ? "lower" : "bottom");
  const std::string side = right > 0 ? "right" : "left";
  return "the " + (vertical ? high + (level ? " " + side : "") : side);
}

}  // namespace wheatpaste
