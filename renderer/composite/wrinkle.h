// wrinkle.h - the relief of a sheet that was pasted up by hand: long shallow creases, small bubbles, a slow swell.
//
// Model   a relief h(x, y) over the sheet's own mm, as its slopes (dh/dx, dh/dy), in units of the steepest:
//           crease  a ridge along a slightly bent line, Gaussian across (kCreaseMm), fading towards its ends
//           bubble  a dome (1 - r^2)^2 of radius kBubbleMm
//           swell   plane waves of kSwellMm
//         summed and kept below 1 by s / sqrt(1 + |s|^2). Sizes are mm and do not grow with the sheet; on small sheets
//         creases are no longer than the sheet.
// Seed    the same seed and size give the same bits in every run and picture; no two seeds share a crease.
// Source  derived here, sizes from looking at pasted posters; tests/composite/contact_test.cc checks mean and bound.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include <cstdint>

#include "geometry/coords.h"
#include "image/image.h"

namespace wheatpaste {

// Light on a sheet with wrinkle = 1 changes by less than this share of itself.
inline constexpr double kMostWrinkle = 0.12;

// Slopes along x and y in planes r and g, alpha 1: laid out like artwork, to be averaged like artwork.
// sheet    mm, above 0.
// returns  the whole sheet at one px a mm, or as many as make kMostSlopesPx.
Image<LinearPremul> WrinkleSlopes(const SurfaceMm& sheet, uint64_t seed);

inline constexpr int64_t kMostSlopesPx = int64_t{4} << 20;

}  // namespace wheatpaste
