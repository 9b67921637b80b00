// dichromatic.h - the two colours of reflection: the material's own and the light's.
//
// Model   I = body * albedo + mirror * light, by least squares over the bands; `condition` is that of the two columns:
//         where the albedo is nearly neutral it grows without bound and the split means nothing.
// Source  Shafer 1985, Color Res. Appl. 10(4), 210-218.
// Threads pure functions.
#pragma once

#include <array>

namespace wheatpaste {

struct Dichromatic {
  double body = 0, mirror = 0, condition = 0;
};
Dichromatic SplitDichromatic(const std::array<double, 3>& pixel,
                             const std::array<double, 3>& albedo,
                             const std::array<double, 3>& light);

// Whether light and albedo, as directions, are far enough apart to be told from each other under white light: 14 degrees.
bool HasColour(const std::array<double, 3>& albedo);

}  // namespace wheatpaste
