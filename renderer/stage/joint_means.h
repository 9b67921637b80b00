// joint_means.h - means over pixels that look alike and belong together.
//
// Model   over q within kReach of p, both ways:  w = (1 - max(c, n, z) / 4)^4, 0 from 4 on;
//           c  mean over a patch of  ((u_p - u_q)^2 - v_p - v_q) / (kLook^2 (v_p + v_q) + (kLeast u_p)^2),  the square averaged over bands
//           n  (|n_p - n_q|^2 - s_p - s_q) / (kTurn^2 + s_p + s_q),  s the spread of the mean normal, (1 - |n|^2) / samples
//           z  ((z_q - z_p - g_p . (q - p))^2 - v_p - v_q) / ((kStep z_p)^2 + (1 + |q - p|^2) v_p + v_q),  g the depth's slope, the smaller of
//              both sides': a plane goes on, however it leans
//         each at least 0. u are the values.
// Border  the picture goes on mirrored for patches; only pixels within it are averaged.
#pragma once

#include "image/image.h"
#include "stage/noise_level.h"

namespace wheatpaste {

inline constexpr int kReach = 10, kPatch = 3;  // px
inline constexpr float kLook = 0.45f, kLeast = 5e-4f, kTurn = 0.2f, kStep = 0.004f;

// What the eye cannot see noise in: means over samples.
struct Guide {
  Image<SceneLinear> normal;
  Image<Coverage> normal_spread, depth, depth_variance;
};

// share  of each pixel's value in what is averaged, band by band: sum w value share / sum w share. A pixel whose share is 0 in all
//        bands has no result: 0.
Image<SceneLinear> JointMeans(const NoisyLight& light, const Guide& guide,
                              const Image<SceneLinear>& share);

}  // namespace wheatpaste
