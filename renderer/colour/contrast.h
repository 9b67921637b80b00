// contrast.h - how strongly a mark stands out from its ground, as web pages are judged.
//
// Model   ratio = (L1 + 0.05) / (L2 + 0.05), L1 the lighter and L2 the darker relative luminance, from 1 to 21.
//         The 0.05 stands for the light that any surface throws back at the reader (flare). A print's reflectance is
//         taken for L, 1 the perfect diffuser: paper is then below white, and no print reaches 21.
// Range   luminances below 0 count as 0.
// Source  WCAG 2.1 (W3C Recommendation, 5 June 2018), "contrast ratio" and "relative luminance"; least ratios: success
//         criteria 1.4.3 (text 4.5, large text 3) and 1.4.11 (what is not text, 3).
#pragma once

#include "colour/colour.h"

namespace wheatpaste {

inline constexpr double kLeastTextContrast = 4.5;
inline constexpr double kLeastLargeContrast = 3;  // marks, and lettering from 18 pt

double ContrastRatio(double luminance, double other);
double ContrastRatio(const SceneLinear& colour, const SceneLinear& other);

}  // namespace wheatpaste
