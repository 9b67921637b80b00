#include "light/light_direction.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "light/solve_normal.h"

namespace wheatpaste {
namespace {

constexpr double kRadPerDegree = std::numbers::pi / 180;
// Nodes that moments are taken from, at most about so many along a side.
constexpr int kMostSamples = 120;

// What is left of the ratio's skewness for 1 / tan(slant) = `by`, over its variance to the power 3/2.
double SkewnessFor(double by, const GridShape& shape, const GridValues& ratio,
                   const std::vector<double>& weights, const GridValues& unit_heights,
                   const std::vector<Eigen::Vector2d>& shift) {
  // Area, and the first three powers of what remains.
  double area = 0, m1 = 0, m2 = 0, m3 = 0;
  const auto across = size_t{1}, down = static_cast<size_t>(shape.columns);
  const int every = std::max(1, std::max(shape.columns, shape.rows) / kMostSamples);
  for (int j = 1; j + 1 < shape.rows; j += every) {
    for (int i = 1; i + 1 < shape.columns; i += every) {
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
                             const std::vector<double>& weights, const Eigen::Vector2d& brighter,
                             const Eigen::Vector2d& above) {
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
  const double side = shape.step * (std::min(shape.columns, shape.rows) - 1);
  const double change = axis.dot(brighter) * side;
  const double vote = std::abs(change) > kTellingChange ? change : axis.dot(above);
  return vote < 0 ? Eigen::Vector2d(-axis) : axis;
}

double EstimateSlant(const GridShape& shape, const GridValues& ratio,
                     const std::vector<double>& weights, const GridValues& unit_heights,
                     const std::vector<Eigen::Vector2d>& shift) {
  const double usual = std::log(std::tan(kUsualSlantDegrees * kRadPerDegree));
  const double low = std::log(std::tan(kLeastSlantDegrees * kRadPerDegree));
  const double high = std::log(std::tan(kMostSlantDegrees * kRadPerDegree));
  const auto misfit = [&](double log_tan) {
    const double skewness =
        SkewnessFor(std::exp(-log_tan), shape, ratio, weights, unit_heights, shift);
    return std::pow(skewness / kSkewnessSd, 2) + std::pow((log_tan - usual) / kSlantSd, 2);
  };
  constexpr int kSteps = 12;
  const double step = (high - low) / kSteps;
  std::array<double, kSteps + 1> at;
  for (int k = 0; k <= kSteps; ++k) at[static_cast<size_t>(k)] = misfit(low + k * step);
  const auto least = static_cast<int>(std::min_element(at.begin(), at.end()) - at.begin());
  if (least == 0 || least == kSteps) return std::exp(low + least * step);
  // The lowest point of the parabola through the least and its neighbours.
  const double before = at[static_cast<size_t>(least - 1)],
               after = at[static_cast<size_t>(least + 1)];
  const double bend = before - 2 * at[static_cast<size_t>(least)] + after;
  const double off = bend > 0 ? (before - after) / (2 * bend) : 0;
  return std::exp(low + (least + off) * step);
}

std::optional<FittedLight> FitLight(const std::vector<ShadedNormal>& samples) {
  // A little of each unknown's square, and how far a sample may miss.
  constexpr double kRidge = 1e-4, kMostMiss = 2.5, kLeastShare = 0.1;
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  for (const ShadedNormal& sample : samples) mean += sample.normal;
  mean /= std::max<double>(1, static_cast<double>(samples.size()));
  double spread = 0;
  for (const ShadedNormal& sample : samples) spread += (sample.normal - mean).squaredNorm();
  const double least = std::sin(kLeastSpreadDegrees * kRadPerDegree);
  if (samples.size() < 50 || !(spread > least * least * static_cast<double>(samples.size()))) {
    return std::nullopt;
  }
  FittedLight light;
  const auto miss = [&](const ShadedNormal& sample) {
    return sample.light - light.ambient - std::max(0.0, light.towards.dot(sample.normal));
  };
  double most = std::numeric_limits<double>::infinity();
  for (int pass = 0; pass < 2; ++pass) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    double count = 0;
    for (const ShadedNormal& sample : samples) {
      if (pass > 0 && std::abs(miss(sample)) > most) continue;
      const Eigen::Vector4d row(1, sample.normal.x(), sample.normal.y(), sample.normal.z());
      normal += row * row.transpose();
      right += row * sample.light;
      ++count;
    }
    normal.diagonal().array() += kRidge * count;
    Eigen::Vector4d fit = SolveNormal(normal, right);
    if (fit[0] < 0) {
      const Eigen::Matrix3d rest = normal.bottomRightCorner<3, 3>();
      fit << 0, SolveNormal(rest, right.tail<3>());
    }
    light = {fit[0], fit.tail<3>()};
    double sum = 0;
    for (const ShadedNormal& sample : samples) sum += std::pow(miss(sample), 2);
    most = kMostMiss * std::sqrt(sum / static_cast<double>(samples.size()));
  }
  if (!(light.towards.norm() > kLeastShare * light.ambient)) return std::nullopt;
  return light;
}

std::string SideOf(const Eigen::Vector3d& to_light) {
  const double right = to_light.x(), up = -to_light.y();
  const double most = std::max(std::abs(right), std::abs(up));
  if (!(most > 0.1 * to_light.norm())) return "straight before it";
  // An eighth of a turn each.
  constexpr double kEighth = 0.4142;
  const bool vertical = std::abs(up) > kEighth * most, level = std::abs(right) > kEighth * most;
  const std::string high = up > 0 ? (level ? "upper" : "top") : (level ? "lower" : "bottom");
  const std::string side = right > 0 ? "right" : "left";
  return "its " + (vertical ? high + (level ? " " + side : "") : side);
}

}  // namespace wheatpaste
