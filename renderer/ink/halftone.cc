#include "ink/halftone.h"

#include <algorithm>

#include "base/check.h"

namespace wheatpaste {

double DotShare(double tint_density, double solid_density, double paper_density, double n) {
  const auto absorbed = [&](double density) {
    return 1 - std::pow(10, -(density - paper_density) / n);
  };
  return absorbed(tint_density) / absorbed(solid_density);
}

double NeugebauerReflectance(std::span<const double> shares, std::span<const double> reflectances,
                             double n) {
  WHEATPASTE_CHECK_OP(shares.size(), ==, reflectances.size());
  double sum = 0;
  for (size_t i = 0; i < shares.size(); ++i) {
    sum += shares[i] * std::pow(std::max(0.0, reflectances[i]), 1 / n);
  }
  return std::pow(sum, n);
}

}  // namespace wheatpaste
