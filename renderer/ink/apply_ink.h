// apply_ink.h - what printing does to the light that a surface sends to the camera, pixel by pixel.
//
// Model   with artwork (C, alpha), C premultiplied, and the share c of the pixel that is the surface:
//             filtering  L1 = L (1 - c alpha + c C)            C is the printed-over-blank ratio F
//             hiding     L2 = L (1 - c alpha) + white c C E    white C is the printed reflectance Rp
//             printed    L' = (1 - opacity) L1 + opacity L2
//         E is the irradiance of shading.h. Surface gloss S is 0 in this version.
// Source  design equation of the program: blank L = E Rs + S, printed L' = E Rp + S.
// Threads pure functions.
#pragma once

#include <cstdint>

#include "scene/scene.h"

namespace wheatpaste {

// Largest difference, plain against SIMD form, relative to values up to 1.
inline constexpr float kApplyInkMaxError = 1e-6f;

struct InkRow {
  int64_t count = 0;
  const float* artwork[4] = {};     // r, g, b premultiplied, alpha
  const float* seen = nullptr;      // c
  const float* irradiance[3] = {};  // E; not read where opacity is 0
  float* light[3] = {};             // L in, L' out
};

void ApplyInk(const Ink& ink, const InkRow& row);

// The plain twin, in double precision.
void ApplyInkPlainly(const Ink& ink, const InkRow& row);

}  // namespace wheatpaste
