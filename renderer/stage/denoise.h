// denoise.h - the noise filter: light from a tracer's sums as many more samples would show it.
//
// Model   of E = diffuse / albedo and S apart, each pixel a mean over a window,
//           E_p = sum w D_q / sum w A_q band by band,   S_p = sum w S_q / sum w,   w = (1 - max(c, n, z) / 4)^4 or 0,
//         c how much the patches around p and q differ beyond their noise, n and z how much normal and depth do (joint_means.h). The
//         albedo is divided out, so textures neither stop the filter nor are touched by it.
// Noise   of each pixel from its squared sums, times what the picture says of it: samples spread evenly err less than independent
//         ones (noise_level.h). Where there is none, differences count in full and the filter leaves the picture alone.
// Fireflies  a pixel far above all but two of its 24 neighbours, by what its own noise explains, becomes the third of them; its light
//         beyond that is dropped, so the picture is darker by it.
// Source  Rousselle, Manzi, Zwicker 2013, Robust denoising using feature and auxiliary information, CGF 32(7) (distances, combined by
//         the least weight); Buades, Coll, Morel 2005 (non-local means). Kernel, calibration, rank: derived here, denoise_test.cc.
// Threads parallel inside; the same bits for any number of them.
#pragma once

#include "stage/traced_light.h"

namespace wheatpaste {

// sums  of at least one sample; of one alone the noise is not known, and the means are returned.
// returns  diffuse = A E filtered; mirrored = S filtered; the albedo as Averages.
TracedLight Denoise(const TraceSums& sums);

}  // namespace wheatpaste
