// white_anchor.h - the absolute level that one photo does not hold: its brightest white stands for a known reflectance.
//
// Model   one photo gives light times reflectance, never either alone. The brightest matt white in it (mean of the
//         kWhiteShare brightest pixels that are neither clipped nor coloured) is taken to return kWhiteReflectance in the
//         light of the surface's own brightest parts; its colour is the light's. A material of linear colour c there is
//             R = kWhiteReflectance c / white.
// Limits  wrong by as much as the white is darker than that, or stands in other light: an estimate, reported as such.
// Source  derived here; tests/light/white_anchor_test.cc. Reflectance of good white paper and paint: about 0.9 (from
//         memory).
#pragma once

#include "colour/colour.h"
#include "image/image.h"
#include "light/separate_reflectance.h"

namespace wheatpaste {

inline constexpr double kWhiteReflectance = 0.9;
inline constexpr double kWhiteShare = 0.005;

// Colour of the brightest white in the picture; of its brightest pixels where none is neutral.
SceneLinear FindWhite(ImageView<SceneLinear> light);

// Reflectance of the dominating material.
Reflectance AnchorMaterial(const Separation& surface, const SceneLinear& white);

}  // namespace wheatpaste
