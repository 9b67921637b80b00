// finish_rows.h - what finishes make of the light of one printed row.
//
// Model   n the face's normal, n' = n - slope_u t_u - slope_v t_v, made unit, with t the unit vectors along the artwork's axes;
//         L' the print's light, S what of it is mirrored (light/gloss.h), level = E / Diffuse(n) (ink/surroundings.h), c the share of
//         the pixel that is the surface. First the relief, then each coat of coverage m, in order:
//             relief   L' + c (Diffuse(n') / Diffuse(n) - 1) (L' - S)
//             varnish  L' + c m ((gloss - 1) S + level VarnishGlint(n')), the glint where the photo shows no S to go by
//             foil     (1 - c m) L' + c m level Mirrored(n')
//         Foil hides the photo's noise, and gets as much as its level has (MissingNoise, ink/apply_ink.h).
// Source  derived here; tests/composite/finish_rows_test.cc.
// Threads pure functions; the scratch is the worker's own.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "composite/face_light.h"
#include "composite/finish.h"
#include "ink/apply_ink.h"
#include "surface/map_row.h"

namespace wheatpaste {

struct FinishScratch {
  FootprintBuffer footprints;
  std::vector<std::array<std::vector<float>, 4>> planes;
};

struct FinishRow {
  const InkRow* print = nullptr;  // light after printing; irradiance, gloss and noise as for ink
  const float* normals[3] = {};
  // Of the row's first pixel; the others follow to the right.
  OutputPx first;
};

// Changes print->light; `touched` is set to 1 where it did.
// footprints  of the artwork, as AverageEllipses takes them.
void ApplyFinishes(const PreparedFinishes& finishes, const FaceLight& face, const Frame& frame,
                   const Camera& camera, const FootprintBuffer& footprints, const FinishRow& row,
                   FinishScratch& scratch, uint8_t* touched);

// Smaller changes of light are not worth encoding a pixel again.
inline constexpr double kLeastFinish = 1e-4;

}  // namespace wheatpaste
