// grain.h - the noise of the base picture as a function of level, and seeded grain that matches it.
//
// Model   in linear light each band's noise has the variance
//             var(y) = (a y + b) g(y),   y: the noise-free level, cut to [0, 1]
//         a y of photons, b of the reading, g a curve near 1 that takes up what a camera's tone curve and its
//         noise removal make of the straight line. The noise is Gaussian; it is correlated between neighbours
//         (demosaicing, JPEG and resampling make grain coarse, sharpening makes it crisp) and between bands.
// Measure patches of 8 x 8 px on a grid over the picture. What remains of a patch after its least-squares plane
//         is noise and texture. Patches are sorted by level; at each level the lowest lump of variances
//         counts, so that texture is not taken for noise: begin at their lowest tenth, then take the
//         mean of all below m (1 + 2.5 s) until it stands, s = sqrt(2 / nu), nu the patch's degrees of freedom.
//         The line is fitted to the levels' variances by least relative squares, levels that lie off it
//         counting less, most of all those above. Quantisation, step^2 / 12, is taken off. The plane takes part of correlated noise with
//         it; the noise whose remainder would be what was measured is solved for.
// Clip    clipped pixels have lost their noise: patches that hold one take no part, nor do levels at which
//         more than a fifth of the patches do. The variance given is that before clipping: grain is
//         added to light, and the encoder clips it as the camera did.
// Limits  texture that covers everything of a level and is as fine as grain is taken for grain; the line through
//         the other levels holds g below kMostCurve there.
// Source  Foi, Trimeche, Katkovnik, Egiazarian 2008, IEEE TIP 17(10), 1737-1754 (line in level,
//         clipping). The measurement from patches is derived here; tests/light/grain_test.cc checks it.
//
// Use     ink/apply_ink.h adds what a print's level lacks, with noise of grain_field.h.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "image/image.h"

namespace wheatpaste {

// Knots of g, spaced evenly in sqrt(level).
inline constexpr int kGrainKnots = 17;
// g stays between them: what lies higher above the line is texture, what lies lower is no grain at all.
inline constexpr double kLeastCurve = 0.02;
inline constexpr double kMostCurve = 2.0;
// Half the side of the filter that makes the grain coarse.
inline constexpr int kGrainReach = 2;
// Patches that a band needs, all levels together; fewer say nothing and the grain is 0.
inline constexpr int kLeastGrainPatches = 60;

// Autocorrelation of one band's noise; [0] is lag 1, [1] lag 2.
struct GrainLags {
  std::array<double, 2> x{};
  std::array<double, 2> y{};
};

struct GrainBand {
  double a = 0;                            // variance per unit of level
  double b = 0;                            // variance at level 0
  std::array<float, kGrainKnots> curve{};  // g
  GrainLags lags;
  int patches = 0;  // flat ones that decided
};

struct Grain {
  std::array<GrainBand, 3> bands;
  // Correlation of the bands' noise in the same pixel: r with g, g with b, r with b.
  double red_green = 0, green_blue = 0, red_blue = 0;

  // var(level) of `band`; linear light squared.
  double Variance(int band, double level) const {
    const GrainBand& g = bands[static_cast<size_t>(band)];
    const double y = std::clamp(level, 0.0, 1.0);
    const double t = std::sqrt(y) * (kGrainKnots - 1);
    const int k = std::min(static_cast<int>(t), kGrainKnots - 2);
    const auto at = static_cast<size_t>(k);
    const double curve = g.curve[at] + (t - k) * (g.curve[at + 1] - g.curve[at]);
    return (g.a * y + g.b) * curve;
  }
};

// How finely the photo's codes tell levels apart; the encoding is taken to be sRGB's.
struct GrainCodes {
  int depth = 8;     // bits a channel; 0: the light was never quantised
  double scale = 1;  // picture px per photo px (Frame::scale): reducing averages quantisation away
};

// light    the picture, or any part of it, at the size at which grain will be added.
// returns  a = b = 0 for a band of which too few patches are flat.
// threads  any; the same bits for any thread count.
Grain EstimateGrain(ImageView<SceneLinear> light, const GrainCodes& codes);

}  // namespace wheatpaste
