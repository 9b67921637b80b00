// apply_ink.h - what printing does to the light that a surface sends to the camera, pixel by pixel.
//
// Model   with the artwork as printed light (printed_colour.h), F and H premultiplied by alpha, its share of ink; the share c of
//         the pixel that is the surface; and the photo's light L = D + S, D through the substrate and S mirrored by its surface:
//             printed    L' = D (1 - c alpha) + filter c F D_u + cover c H E_t + S'
//             mirrored   S' = S (1 - c alpha + c alpha gloss)
//         D_u is D, or, where earlier prints are knocked out, what the bare substrate sends. A plain ink reads F and H from one
//         raster, the artwork's C: filter = 1 - opacity, cover = opacity white.
//         E is the irradiance, cleaned of the substrate's fine texture T, of which the ink lets a share show:
//             E_t = E (1 + texture (T - 1))
//         Where the photo is noisy, of variance v(L), its own noise comes along by the factor
//             f = 1 - c alpha + c (filter F + cover H texture / Rs)
//         (E was cleaned of it) and what is missing is added: L' + MissingNoise(v(L'), v(L), f) n, n of variance 1.
// Source  design equation of the program: blank L = E Rs + S, printed L' = E Rp + S.
// Threads pure functions.
#pragma once

#include <cstdint>

#include "scene/scene.h"

namespace wheatpaste {

// Largest difference, plain against SIMD form, relative to values up to 1.
inline constexpr float kApplyInkMaxError = 1e-6f;
// The same with noise of variance up to 1e-3, |n| up to 4: the root of a small difference keeps half the digits.
inline constexpr float kApplyInkNoiseMaxError = 5e-5f;

// Levels from 0 to 1 of a table of v, joined by straight lines; brighter light has the last one's.
inline constexpr int kNoiseSteps = 1023;

// What of an ink counts at every pixel.
struct InkWeights {
  double filter = 1, cover = 0;  // of F and H
  double texture = 0;
  double gloss = 1;
};
InkWeights WeightsOf(const Ink& ink);

struct InkRow {
  int64_t count = 0;
  const float* filter[3] = {};   // F, premultiplied
  const float* alpha = nullptr;  // share of ink
  const float* cover[3] = {};    // H, premultiplied; not read where its weight is 0
  const float* under[3] =
      {};  // light of the bare substrate, where earlier prints are knocked out; none: L
  const float* seen = nullptr;      // c
  const float* irradiance[3] = {};  // E; not read where the ink covers nothing
  const float* texture = nullptr;   // T; none: 1
  double substrate = 1;             // Rs, its luminance: what T's noise is divided by
  const float* gloss[3] = {};       // S; none: 0
  float* light[3] = {};             // L in, L' out
  // None where the photo has no noise.
  const float* noise_variance[3] = {};  // v at levels k / kNoiseSteps, k = 0 to kNoiseSteps + 1
  const float* noise[3] = {};           // n
};

// v of such a table at `level`.
double NoiseVariance(const float* table, double level);

// Standard deviation of the noise that a level of variance `wanted` lacks where noise of variance `own` came along by
// `factor`; 0 where enough did.
double MissingNoise(double wanted, double own, double factor);

void ApplyInk(const InkWeights& ink, const InkRow& row);

// The plain twin, in double precision.
void ApplyInkPlainly(const InkWeights& ink, const InkRow& row);

}  // namespace wheatpaste
