// denoise.h - finished light from a tracer's sums: E and S, with or without the noise filter.
//
// Model   E = diffuse / albedo, S = mirrored / samples; so A E + S is the mean of all samples. Filtered, each is a mean over a window,
//           E_p = sum w D_q / sum w A_q band by band,   S_p = sum w S_q / sum w,   w = (1 - max(c, n, z) / 4)^4 or 0,
//         c how much the patches around p and q differ beyond their noise, n and z how much normal and depth do (joint_means.h). The
//         albedo is divided out, so textures neither stop the filter nor are touched by it; where a band has none, its neighbours tell E.
// Noise   of each pixel from its squared sums, times what the picture says of it: samples spread evenly err less than independent
//         ones (noise_level.h). Where there is none, differences count in full and the filter leaves the picture alone.
// Fireflies  a pixel far above all but two of its 24 neighbours, by what its own noise explains, becomes the third of them; its light
//         beyond that is dropped, so the picture is darker by it.
// Source  Rousselle, Manzi, Zwicker 2013, Robust denoising using feature and auxiliary information, CGF 32(7) (distances, combined by
//         the least weight); Buades, Coll, Morel 2005 (non-local means). Kernel, calibration, rank: derived here, denoise_test.cc.
// Threads parallel inside; the same bits for any number of them.
#pragma once

#include "stage/trace_world.h"

namespace wheatpaste {

struct FinishedLight {
  Image<SceneLinear> lit;       // E; 0 where the albedo is 0 in all bands
  Image<SceneLinear> mirrored;  // S
};

// The samples' means.
FinishedLight MeanLight(const TraceSums& sums);

// sums  of at least 2 samples; of fewer the noise is not known, and the means are returned.
FinishedLight Denoise(const TraceSums& sums);

}  // namespace wheatpaste
