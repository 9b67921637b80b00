// elliptical_average.h - artwork values under output pixels: an elliptical weighted average.
//
// Model   A round pixel filter (1 - (r/R)^2)^2, r < R = kFilterRadiusPx output px, seen through the
//         Jacobian J of artwork px by output px, is an ellipse on the artwork. With the matrix
//             M = R^2 J J^T / 4^k - kBoxShare I,   q(d) = d^T M^-1 d  (d: offset in px of level k)
//         the value is the mean of all level-k pixels with q < 1, weighted (1 - q)^2. A pixel of any
//         level already is the mean over its own square, whose second moment is taken off M, so the
//         whole filter is the round one at every level: no line shows where the level changes,
//         nothing shimmers between sizes.
// Filter  standard deviation R sqrt(1/8) = 0.318 output px, close to a box pixel's 0.289, yet without
//         its corners: on a slanted vector checker 43 dB from box samples, and from samples weighted by
//         the filter itself what the test says.
// Level   the deepest k at which the ellipse's smaller radius is still kMinRadius px. Where even level 0
//         is too coarse (artwork enlarged) the ellipse is widened to kMinRadius. Ellipses longer than
//         kMaxElongation times their smaller radius are widened instead of walked.
// Edges   beyond the artwork lies nothing (alpha 0), or its edge repeated: Pyramid::edges().
// Source  Greene, Heckbert 1986, IEEE CG&A 6(6), 21-27; Heckbert 1989, UCB/CSD 89/516. Filter and
//         moment rule are derived here; tests/image/elliptical_average_test.cc checks both.
// Threads pure functions; any thread.
#pragma once

#include <cstdint>

#include "colour/colour.h"
#include "image/pyramid.h"

namespace wheatpaste {

inline constexpr float kFilterRadiusPx = 0.9f;
inline constexpr float kMinRadius = 1.35f;
inline constexpr float kMaxElongation = 32.0f;
// How many times wider the filter is when a blur of that standard deviation, output px, comes before it.
float WideningBy(float blur_px);

// Second moment of a box of side 1, 1/12, against that of (1 - r^2)^2, r < 1, which is 1/8 per axis.
inline constexpr float kBoxShare = 2.0f / 3.0f;
// A footprint that would still hold more level-px than this, squared radii added, sees nothing: it
// lies at the horizon. (The longest ellipse that level and elongation allow has about 1.3e4.)
inline constexpr float kMostMoment = 1e5f;

// Raster px per output px, at the place where the artwork is largest in the picture, that keep the
// average within the quality stated above.
inline constexpr double kRasterDensity = 1.75;

// Largest difference, plain against SIMD form, of values in [0, 1] where both choose the same level.
// Positions are floats: on an artwork 2^14 px wide they round to 2^-10 px.
inline constexpr float kEllipticalAverageMaxError = 5e-4f;

// Where `count` output pixels lie on the artwork (level-0 px), and how far they reach: du_dx is the
// change of u along one output pixel to the right. All arrays hold `count` values.
struct FootprintRow {
  int64_t count = 0;
  const float* u = nullptr;
  const float* v = nullptr;
  const float* du_dx = nullptr;
  const float* du_dy = nullptr;
  const float* dv_dx = nullptr;
  const float* dv_dy = nullptr;
};

struct LinearPremulRow {
  float* r = nullptr;
  float* g = nullptr;
  float* b = nullptr;
  float* a = nullptr;
};

// Fills `out` (count values a plane). A footprint that is not finite gives nothing (all 0).
void AverageEllipses(const Pyramid& artwork, const FootprintRow& footprints,
                     const LinearPremulRow& out);

struct Footprint {
  double u = 0, v = 0, du_dx = 0, du_dy = 0, dv_dx = 0, dv_dy = 0;
};

// What of an artwork footprints need, so that a part of its raster will do. All of it holds for the SIMD form too.
struct FootprintReach {
  float low_u = 0, high_u = 0, low_v = 0, high_v = 0;  // level-0 px that are read; low > high: none
  int least_level = 0, most_level = 0;                 // of the pyramid, read by any pixel
};
// needed  which of the footprints count: those above 0.
// path    by which footprints are stretched (both ways) before they are looked up; level-0 px.
FootprintReach ReachOf(const FootprintRow& footprints, const float* needed, float path);

// The plain twin, in double precision.
LinearPremul AverageEllipse(const Pyramid& artwork, const Footprint& footprint);

// Heckbert's own ellipse on level 0 alone, M = J J^T + I, weighted exp(-2 q): what published figures
// were made with, so that the twin's geometry can be held against them. Not used for pictures.
LinearPremul AverageGaussianEllipse(const Pyramid& artwork, const Footprint& footprint);

}  // namespace wheatpaste
