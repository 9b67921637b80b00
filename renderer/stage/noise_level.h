// noise_level.h - how far a tracer's means may be off, pixel by pixel.
//
// Model   v = (mean of squares - square of mean) / (samples - 1), mean of the three bands. That is the variance of
//         a mean of independent samples. These are spread evenly, so v, averaged over 3 x 3, is multiplied by
//           rho = min(1, 1.3 min over the 4 windows with p in a corner of  sum e^2 / sum v_e),
//         e a pixel less the mean of its 4 neighbours, v_e its variance likewise: windows on one side of an edge know it not.
//         1.3: the least of four such ratios is low by about that (derived here).
// Threads parallel inside; the same bits for any number of them.
#pragma once

#include "image/image.h"

namespace wheatpaste {

struct NoisyLight {
  Image<SceneLinear> value;
  Image<Coverage> variance;  // of the value, mean of its bands
};

// sum, squared  sums over `samples`, at least 2.
NoisyLight NoisyMean(const Image<SceneLinear>& sum, const Image<SceneLinear>& squared, int samples);

// As denoise.h says.
void RemoveFireflies(NoisyLight& light);

// Averages the variance and multiplies it by rho.
void CalibrateNoise(NoisyLight& light);

}  // namespace wheatpaste
