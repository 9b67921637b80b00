// spectrum.h - reflectance over the visible range, and the colour that it has in daylight.
//
// Samples  380 to 730 nm every 10 nm, what instruments of the print trade give; 1 = perfect diffuser.
// Colour   viewed under D50 by the 1931 observer (2 degrees), as print is measured (ISO 13655): XYZ is the sum over the
//          samples, scaled so that the perfect diffuser has exactly the white of colour.h; adapted to the working space
//          by colour/adapt.h.
// Back     SmoothSpectrum mixes three spectra, one for each working primary. They sum to 1 at every wavelength, stay
//          within [0, 1], have exactly the colours of the primaries, and are the smoothest that do (least sum of
//          squared steps of the three): white is flat 1, gray is flat, and any colour of [0, 1] is a possible material.
// Source   observer and D50: CIE 15:2018, tables T.4 and T.1, every second row. The three spectra: the idea of I. Mallett,
//          C. Yuksel 2019, EGSR, doi:10.2312/sr.20191216; numbers derived here for D50 (tests/colour/spectrum_test.cc
//          checks what is said above).
// Threads  pure functions.
#pragma once

#include <array>
#include <cstddef>

#include "colour/colour.h"

namespace wheatpaste {

inline constexpr int kFirstNm = 380, kStepNm = 10;
inline constexpr size_t kSpectrumBands = 36;

struct Spectrum {
  std::array<double, kSpectrumBands> at{};
};

// Y of the white paper that the look of inks is stated on, taken as flat: FOGRA39L (ISO 12647-2:2004/Amd 1), 95/0/-2.
inline constexpr double kReferencePaper = 0.8762;

// Relative to the D50 white of colour.h.
Xyz XyzFromSpectrum(const Spectrum& reflectance);

// May have negative parts: colours outside the working primaries.
SceneLinear LinearFromSpectrum(const Spectrum& reflectance);

// Parts outside [0, 1] are taken as they are; the result is then cut to [0, 1] at each wavelength.
Spectrum SmoothSpectrum(const SceneLinear& colour);

// True where some reflectance within [0, 1] has this colour under D50.
// Model   the object-colour solid is the sum of the samples' segments; a point is inside where no plane parts it
//         from the solid. Planes of 4096 directions are tried.
// Source  E. Schrodinger 1920, Ann. Phys. 62, 603-622; D. L. MacAdam 1935, J. Opt. Soc. Am. 25, 361-367.
bool IsPossibleMaterial(const Xyz& xyz);

}  // namespace wheatpaste
