#include "colour/contrast.h"

#include <algorithm>

namespace wheatpaste {

double ContrastRatio(double luminance, double other) {
  constexpr double kFlare = 0.05;
  const double lighter = std::max({luminance, other, 0.0});
  const double darker = std::max(0.0, std::min(luminance, other));
  return (lighter + kFlare) / (darker + kFlare);
}

double ContrastRatio(const SceneLinear& colour, const SceneLinear& other) {
  const auto luminance = [](const SceneLinear& c) {
    return Luminance(double{c.r}, double{c.g}, double{c.b});
  };
  return ContrastRatio(luminance(colour), luminance(other));
}

}  // namespace wheatpaste
