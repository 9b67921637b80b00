// colour.h - what a triple of numbers means, as types.
//
// Working space   linear light, Rec.709 primaries, white D65 (ITU-R BT.709-6, item 1.3 and 1.4), no
//                 upper limit; colours outside the primaries have negative parts. One space, here only.
#pragma once

#include <array>

namespace wheatpaste {

// Proportional to light, scene-referred: 1 is the photograph's own encoded maximum.
struct SceneLinear {
  static constexpr int kPlanes = 3;
  float r = 0, g = 0, b = 0;
  bool operator==(const SceneLinear&) const = default;
};

// Y of light in the working space (ITU-R BT.709-6, item 3.2).
template <typename Number>
constexpr Number Luminance(Number r, Number g, Number b) {
  return Number(0.2126) * r + Number(0.7152) * g + Number(0.0722) * b;
}

// Linear colour already multiplied by alpha.
struct LinearPremul {
  static constexpr int kPlanes = 4;
  float r = 0, g = 0, b = 0, a = 0;
};

// Fraction of light returned, per band of the working primaries, 0 to 1. Contains no light.
struct Reflectance {
  static constexpr int kPlanes = 3;
  double r = 0, g = 0, b = 0;
};

// Share of a pixel that is covered or seen, 0 to 1.
struct Coverage {
  static constexpr int kPlanes = 1;
  // From here on a pixel counts as whole: areas are sums, which round.
  static constexpr float kWhole = 0.999f;
};

// Tristimulus values, Y of the white = 1.
struct Xyz {
  double x = 0, y = 0, z = 0;
};

// The ICC profile connection space's white, D50 (ICC.1:2022, 7.2.16).
inline constexpr Xyz kWhiteD50{0.9642, 1.0, 0.8249};
// CIE 1931 D65 from x = 0.3127, y = 0.3290 (IEC 61966-2-1).
inline constexpr Xyz kWhiteD65{0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290};

// CIE 1976 L*a*b*, relative to the white it was made with.
struct Lab {
  double l = 0, a = 0, b = 0;
};

using Matrix3 = std::array<std::array<double, 3>, 3>;

}  // namespace wheatpaste
