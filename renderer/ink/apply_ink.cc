#include "ink/apply_ink.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
double NoiseVariance(const float* table, double level) {
  const double at = std::clamp(level, 0.0, 1.0) * kNoiseSteps;
  const auto k = static_cast<int>(at);
  return double{table[k]} + (at - k) * (double{table[k + 1]} - double{table[k]});
}

double MissingNoise(double wanted, double own, double factor) {
  return std::sqrt(std::max(0.0, wanted - factor * factor * own));
}

void ApplyInkPlainly(const Ink& ink, const InkRow& row) {
  for (int64_t i = 0; i < row.count; ++i) {
    const double c = double{row.seen[i]};
    const double alpha = c * double{row.artwork[3][i]}, bare = 1 - alpha;
    const double texture =
        row.texture != nullptr ? 1 + ink.texture * (double{row.texture[i]} - 1) : 1;
    for (int k = 0; k < 3; ++k) {
      const double l = double{row.light[k][i]}, art = double{row.artwork[k][i]};
      const double s = row.gloss[k] != nullptr ? double{row.gloss[k][i]} : 0, d = l - s;
      const double filtered = d * (bare + c * art);
      const double hidden =
          ink.opacity > 0 ? d * bare + ink.white * c * art * double{row.irradiance[k][i]} * texture
                          : 0;
      double lit =
          (1 - ink.opacity) * filtered + ink.opacity * hidden + s * (bare + alpha * ink.gloss);
      if (const float* table = row.noise_variance[k]) {
        const double through = row.texture != nullptr ? ink.texture / row.substrate : 0;
        const double along = bare + c * art * (1 - ink.opacity + ink.opacity * ink.white * through);
        lit += MissingNoise(NoiseVariance(table, lit), NoiseVariance(table, l), along) *
               double{row.noise[k][i]};
      }
      row.light[k][i] = static_cast<float>(lit);
    }
  }
}

}  // namespace wheatpaste
