// srgb.h - the sRGB encoding, and XYZ and Lab of the working space.
//
// Model   decode  v / 12.92                      for v <= 0.04045, else ((v + 0.055) / 1.055)^2.4
//         encode  12.92 l                        for l <= 0.0031308, else 1.055 l^(1/2.4) - 0.055
// Range   any finite value; below 0 both continue as odd functions, so nothing is clamped here.
// Source  IEC 61966-2-1:1999.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "colour/colour.h"

namespace wheatpaste {

// A colour as designers write it: #rrggbb.
struct Srgb8 {
  uint8_t r = 0, g = 0, b = 0;
  auto operator<=>(const Srgb8&) const = default;
};

// "#rrggbb" or "#rgb", upper or lower case; none for any other text.
std::optional<Srgb8> ColourFromHex(std::string_view text);
// "#rrggbb", lower case.
std::string HexOf(const Srgb8& colour);

double LinearFromSrgb(double encoded);
double SrgbFromLinear(double linear);

SceneLinear LinearFromSrgb(const Srgb8& colour);
// The nearest code; what lies outside [0, 1] ends at its limits.
Srgb8 SrgbFromLinear(const SceneLinear& linear);

// XYZ relative to D65. Source: the matrix of IEC 61966-2-1, to its four printed decimals.
Xyz XyzFromLinear(const SceneLinear& linear);

// Lab relative to `white`. Source: CIE 15:2018, 8.2.1.
Lab LabFromXyz(const Xyz& xyz, const Xyz& white);

// Lab (D65) of a linear colour of the working space.
Lab LabFromLinear(const SceneLinear& linear);

}  // namespace wheatpaste
