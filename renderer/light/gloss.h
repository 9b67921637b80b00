// gloss.h - the light that a surface mirrors, told from the light that comes back through its substrate.
//
// Model   L = D + S. On a surface of one colour without gloss and cast shadow, D changes as light does:
//         - where normals n are known, D_c = sum over k of a_kc(t) max(0, n . w_k), a_kc(t) >= 0, with kLightDirections
//           directions w_k over the sphere (any distant light, and any mixture, is one such sum) and t, linear, along
//           the direction in which the normals change least (near lights). Its lobes are at least 60 degrees wide:
//           a highlight, which is narrow, cannot be one.
//         - else (a plane, a patch) D_c = a polynomial over the picture, of degree kFlatDegree in x and in y.
//         The fit is robust (robust_fit.h): what lies far above it (gloss) or far below (cast shadow) does not decide. Gloss is what lies above, kept in patches that look like mirrored light:
//         - on a substrate of some colour, its patch has the light's colour more than the substrate's (Dichromatic), and S
//           is no more than what of a pixel has that colour;
//         - on a neutral one, its patch has a peak; a lit part beside a cast shadow is flat.
// Source  Ramamoorthi, Hanrahan 2001, SIGGRAPH, 497-500: diffuse light is smooth in the normal (nine numbers keep 99 %
//         of it). Clamped cosines replace their harmonics here: exact for one light, where nine harmonics are off by
//         up to 9 % of it (derived here; tests/light/gloss_test.cc).
//         Shafer 1985, Color Res. Appl. 10(4), 210-218: the two colours of reflection.
//         Geman, McClure 1985: the robust weight 1 / (1 + (r / c)^2)^2.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include <array>
#include <optional>

#include "colour/colour.h"
#include "image/image.h"
#include "surface/chart.h"

namespace wheatpaste {

inline constexpr int kLightDirections = 96;
inline constexpr int kFlatDegree = 3;

struct Gloss {
  Image<SceneLinear> mirrored;  // S of the region's pixels
  double share = 0;             // of the surface's pixels in which it is seen
};

// light    the region's pixels, its clipped highlights restored (restore_highlights.h).
// seen     how much of each pixel is the surface; pixels wholly seen decide. Beside them S is 0.
// normals  of the region's pixels, unit, towards the camera; null: not known, or flat.
// returns  nothing where no gloss is seen.
std::optional<Gloss> SeparateGloss(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                                   const Image<NormalPlanes>* normals,
                                   const Reflectance& substrate);

}  // namespace wheatpaste
