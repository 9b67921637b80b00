// colour_vision.h - a colour as a person with a colour-vision deficiency sees it.
//
// Model   seen = M(deficiency, severity) shown, in linear light of the Rec.709 primaries: a cone pigment that
//         is shifted by severity (0 none to 1: as good as missing), put through opponent stages. Between
//         the eleven printed severities the matrices are interpolated linearly.
// Keeps   greys (each row sums to 1, to the sixth decimal). Results may leave [0, 1]; the encoder clamps.
// Not     what a certain person sees: people differ, and so do screens and light.
// Source  G. M. Machado, M. M. Oliveira, L. A. F. Fernandes 2009, A physiologically-based model for simulation
//         of color vision deficiency, IEEE TVCG 15(6), 1291-1298, doi:10.1109/TVCG.2009.113; the
//         authors' table of 33 matrices.
#pragma once

#include "colour/colour.h"

namespace wheatpaste {

// Red, green or blue cones differ.
enum class ColourDeficiency { kProtan, kDeutan, kTritan };
// What users call them, in that order.
inline constexpr const char* kDeficiencyNames[3] = {"protan", "deutan", "tritan"};
inline const char* NameOf(ColourDeficiency deficiency) {
  return kDeficiencyNames[static_cast<int>(deficiency)];
}

inline constexpr int kVisionSteps = 10;

// severity  0 to 1; beyond that it ends at the limits.
Matrix3 SeenMatrix(ColourDeficiency deficiency, double severity);

// Severity 0 returns `shown` to the bit.
SceneLinear SeenWith(ColourDeficiency deficiency, double severity, const SceneLinear& shown);
// The same with a matrix of SeenMatrix, for many colours.
SceneLinear SeenWith(const Matrix3& seen, const SceneLinear& shown);

}  // namespace wheatpaste
