#include "ink/ggx.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr int kHeights = 192, kTurns = 48;
constexpr int kEntries = 64;

double Lambda(double z, double alpha) {
  const double tan2 = std::max(0.0, 1 - z * z) / (z * z);
  return (std::sqrt(1 + alpha * alpha * tan2) - 1) / 2;
}

}  // namespace

double FacetDensity(double h_z, double alpha) {
  const double aa = alpha * alpha, t = h_z * h_z * (aa - 1) + 1;
  return aa / (std::numbers::pi * t * t);
}

double FacetShadow(double o_z, double alpha) { return 1 / (1 + Lambda(o_z, alpha)); }

double FacetShadow(double o_z, double i_z, double alpha) {
  return 1 / (1 + Lambda(o_z, alpha) + Lambda(i_z, alpha));
}

FacetAlbedo FacetAlbedoOf(double o_z, double alpha) {
  // Half vectors spread as D h_z: tan^2 = alpha^2 u / (1 - u), u even; what is left to average is
  // F G2 (o . h) / (o_z h_z).
  const double o_x = std::sqrt(std::max(0.0, 1 - o_z * o_z));
  FacetAlbedo sum{0, 0};
  for (int j = 0; j < kHeights; ++j) {
    // Denser towards the ends, where the integrand bends.
    const double s = (j + 0.5) / kHeights, u = s * s * (3 - 2 * s);
    const double weight = 6 * s * (1 - s);
    const double tan2 = alpha * alpha * u / (1 - u);
    const double h_z = 1 / std::sqrt(1 + tan2), h_xy = std::sqrt(tan2) * h_z;
    for (int k = 0; k < kTurns; ++k) {
      const double turn = std::numbers::pi * (k + 0.5) / kTurns;  // the other half is the same
      const double o_h = o_x * h_xy * std::cos(turn) + o_z * h_z;
      const double i_z = 2 * o_h * h_z - o_z;
      if (o_h <= 0 || i_z <= 0) continue;
      const double share = weight * FacetShadow(o_z, i_z, alpha) * o_h / (o_z * h_z);
      sum.one += share;
      sum.schlick += share * std::pow(1 - std::min(1.0, o_h), 5);
    }
  }
  const double count = double{kHeights} * kTurns;
  return {sum.one / count, sum.schlick / count};
}

FacetAlbedoTable::FacetAlbedoTable(double alpha) {
  double sum = 0;
  for (int k = 0; k < kEntries; ++k) {
    const double o_z = (k + 0.5) / kEntries;
    entries_.push_back(FacetAlbedoOf(o_z, alpha));
    sum += 2 * entries_.back().one * o_z / kEntries;
  }
  mean_ = sum;
}

FacetAlbedo FacetAlbedoTable::At(double o_z) const {
  const double at = std::clamp(o_z * kEntries - 0.5, 0.0, double{kEntries - 1});
  const auto k = std::min(static_cast<size_t>(at), entries_.size() - 2);
  const double t = at - static_cast<double>(k);
  const FacetAlbedo &from = entries_[k], &to = entries_[k + 1];
  return {from.one + t * (to.one - from.one), from.schlick + t * (to.schlick - from.schlick)};
}

double MirroredAgain(double f0, double mean) {
  const double f_mean = f0 + (1 - f0) / 21;
  return f_mean * f_mean * mean / (1 - f_mean * (1 - mean));
}

}  // namespace wheatpaste
