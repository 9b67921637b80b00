#include "ink/apply_ink.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

double NoiseVariance(const float* table, double level) {
  const double at = std::clamp(level, 0.0, 1.0) * kNoiseSteps;
  const auto k = static_cast<int>(at);
  return double{table[k]} + (at - k) * (double{table[k + 1]} - double{table[k]});
}

}  // namespace

double MissingNoise(double wanted, double own, double factor) {
  return std::sqrt(std::max(0.0, wanted - factor * factor * own));
}

void ApplyInkPlainly(const Ink& ink, const InkRow& row) {
  for (int64_t i = 0; i < row.count; ++i) {
    const double c = double{row.seen[i]};
    const double bare = 1 - c * double{row.artwork[3][i]};
    for (int k = 0; k < 3; ++k) {
      const double l = double{row.light[k][i]}, art = double{row.artwork[k][i]};
      const double filtered = l * (bare + c * art);
      const double hidden =
          ink.opacity > 0 ? l * bare + ink.white * c * art * double{row.irradiance[k][i]} : 0;
      double lit = (1 - ink.opacity) * filtered + ink.opacity * hidden;
      if (const float* table = row.noise_variance[k]) {
        const double along = bare + (1 - ink.opacity) * c * art;
        lit += MissingNoise(NoiseVariance(table, lit), NoiseVariance(table, l), along) *
               double{row.noise[k][i]};
      }
      row.light[k][i] = static_cast<float>(lit);
    }
  }
}

}  // namespace wheatpaste
