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

InkWeights WeightsOf(const Ink& ink) {
  InkWeights weights{1, ink.hides() ? 1.0 : 0.0, ink.texture, ink.gloss};
  if (ink.is_plain()) {
    weights.filter = 1 - ink.opacity;
    weights.cover = ink.opacity * ink.white;
  }
  return weights;
}

void ApplyInkPlainly(const InkWeights& ink, const InkRow& row) {
  for (int64_t i = 0; i < row.count; ++i) {
    const double c = double{row.seen[i]};
    const double alpha = c * double{row.alpha[i]}, bare = 1 - alpha;
    const double texture =
        row.texture != nullptr ? 1 + ink.texture * (double{row.texture[i]} - 1) : 1;
    for (int k = 0; k < 3; ++k) {
      const double l = double{row.light[k][i]};
      const double s = row.gloss[k] != nullptr ? double{row.gloss[k][i]} : 0, d = l - s;
      const double under = row.under[k] != nullptr ? double{row.under[k][i]} - s : d;
      const double filter = ink.filter * c * double{row.filter[k][i]};
      const double cover = ink.cover > 0 ? ink.cover * c * double{row.cover[k][i]} : 0;
      const double own = ink.cover > 0 ? cover * double{row.irradiance[k][i]} * texture : 0;
      double lit = d * bare + filter * under + own + s * (bare + alpha * ink.gloss);
      if (const float* table = row.noise_variance[k]) {
        const double through = row.texture != nullptr ? ink.texture / row.substrate : 0;
        const double along = bare + filter + cover * through;
        lit += MissingNoise(NoiseVariance(table, lit), NoiseVariance(table, l), along) *
               double{row.noise[k][i]};
      }
      row.light[k][i] = static_cast<float>(lit);
    }
  }
}

}  // namespace wheatpaste
