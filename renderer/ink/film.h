// film.h - light in a layer of ink, at one wavelength: Kubelka-Munk, and the layer's surface.
//
// Model   a layer absorbs K and scatters S of what passes a unit of its thickness X. Over a ground of reflectance Rg, with
//         a = 1 + K/S, b = sqrt(a^2 - 1):
//             R  = [1 - Rg (a - b coth bSX)] / [a - Rg + b coth bSX]
//             R0 = 1 / (a + b coth bSX),  T = b / (a sinh bSX + b cosh bSX),  R = R0 + T^2 Rg / (1 - R0 Rg)
//         S -> 0: R = Rg e^(-2KX). K -> 0: R = [(1 - Rg) SX + Rg] / [(1 - Rg) SX + 1].
//         A stack is this from the bottom up. Light leaves a layer of resin through a surface that mirrors k1 of what comes
//         and k2 of what goes: measured without the mirrored part, as print is (45/0),
//             Rm = (1 - k1)(1 - k2) R / (1 - k2 R).
// Source  Kubelka 1948, J. Opt. Soc. Am. 38, 448-457; 1954, 44, 330-335. Saunderson 1942, J. Opt. Soc. Am. 32, 727-736.
// Range   K, S, X >= 0; reflectances 0 to 1.
// Threads pure functions.
#pragma once

#include <vector>

#include "colour/spectrum.h"

namespace wheatpaste {

// A layer's own reflectance (over black) and its transmittance.
struct Film {
  double reflectance = 0;    // R0
  double transmittance = 1;  // T

  double Over(double ground) const {
    return reflectance + transmittance * transmittance * ground / (1 - reflectance * ground);
  }
};

Film FilmOf(double absorption, double scattering, double thickness);

// Reflectance of an endless layer, R = a - b, and back: K/S = (1 - R)^2 / (2 R).
double EndlessReflectance(double absorption_over_scattering);
double AbsorptionOverScattering(double endless_reflectance);

// Of resin against air, n = 1.5 (k1 by Fresnel; k2 for diffuse light: Saunderson 1942).
inline constexpr double kMirroredOutside = 0.04, kMirroredInside = 0.60;

// Reflectance as an instrument at 45/0 sees it, from that below the surface, and back.
double MeasuredFromInside(double inside);
double InsideFromMeasured(double measured);

// Inks that share one scattering, from clear or white down to black: the film of each is found from its look on the
// reference paper.
class InkSystem {
 public:
  // hiding  contrast ratio of the system's white: its reflectance over black, divided by that over the reference paper
  //         (as paints are stated, ISO 6504-3, here for this paper), 0 to 0.995.
  // white   reflectance of its white where it hides everything; above 0, at most 0.98. Not used where hiding is 0.
  InkSystem(double hiding, double white);

  // Of an ink that returns `look` of what the system's white returns on the reference paper, 0 to 1 (darker than
  // kDarkest counts as that); by a table of kSteps, linear in between.
  Film FilmFor(double look) const;

  // No ink of the system is blacker than this; common practice, from memory: a black solid at 45/0, D = 2.5.
  static constexpr double kDarkest = 0.003;
  static constexpr int kSteps = 2048;

 private:
  std::vector<Film> films_;  // of look k / kSteps
};

}  // namespace wheatpaste
