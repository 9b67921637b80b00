// black_body.h - the colour of a black body's light, for lamps that are named by their temperature.
//
// Model   chromaticity of the Planckian locus by cubic fits in 1/T and x, then the working primaries; luminance 1. 6504 K is close
//         to the working white (D65), which lies a little beside the locus.
// Range   kLeastKelvin to kMostKelvin. The reddest lie outside the primaries: their blue ends at 0.
// Source  Kang, Moon, Hong, Lee, Cho, Kim 2002, J. Korean Phys. Soc. 41(6), 865-871 (coefficients from memory; black_body_test.cc
//         holds them against illuminant A and published points of the locus).
#pragma once

#include "colour/colour.h"

namespace wheatpaste {

inline constexpr double kLeastKelvin = 1667, kMostKelvin = 25000;

struct Chromaticity {
  double x = 0, y = 0;
};
Chromaticity BlackBodyChromaticity(double kelvin);

// Linear in the working primaries, luminance 1, no part below 0.
Reflectance BlackBodyColour(double kelvin);

}  // namespace wheatpaste
