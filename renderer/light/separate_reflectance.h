// separate_reflectance.h - what of a picture is the surface's own colour, and what is light on it.
//
// Model   L_c = E R_c, with one neutral shading E: all that is coloured counts as the surface's, so R also holds slow
//         changes of the light's colour. With l = log L, m = mean of l over the bands, chi = l - m:
//         1. A step between two pixels is of reflectance where chroma changes over it, from kEdgeReach px before to
//            kEdgeReach px behind, by more than light does that changes so much in level, or where the level changes
//            as only ink does:
//                p = max(S(|d chi| - kChromaPerLevel |d m|; t, t + kChromaStep), S(|d m|; log kPaleInk, log kDarkInk))
//            (the second for the two pixels along the line to either side too, which a lens blurs into the step), with S
//            the smoothstep and t = max(kLeastChroma, kNoiseReach sd of d chi's noise).
//         2. Steps of log E: (1 - p) dm + p times the mean of dm nearby where p is 0 (a slope goes on under a print).
//         3. s = log E is the field whose steps come nearest to those in the sense of least absolute deviations
//            (GridPotential, reweighted), with a free border: nothing outside the mask is looked at.
//         4. Surfaces are made of few materials: each pixel's m - s is drawn to the mode of its neighbourhood in the
//            space of reflectances (narrow in chroma, wide in level), and 3 is solved again with that as a weak,
//            robust anchor; kMaterialRounds times.
// Scale   the material that fills most of the picture has R = 1 in every band; E carries its level, `material` its colour.
// Source  Grosse, Johnson, Adelson, Freeman 2009, ICCV (steps judged by chroma and level); Gehler et al. 2011, NIPS (few
//         reflectances). The allowance for coloured light, slopes under print and the modes are derived here; measured by
//         tests/bench/intrinsic.cc, held against closed forms in tests/light/separate_reflectance_test.cc.
// Limits  a neutral print paler than kPaleInk cannot be told from a hard shadow by its own pixels: it counts as light.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include <array>

#include "colour/colour.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int kEdgeReach = 1;
// Change of log chroma that is too small to be a print's: a tint of 3 % in one band against the others.
inline constexpr double kLeastChroma = 0.03;
inline constexpr double kChromaStep = 0.06;
inline constexpr double kNoiseReach = 3;
// Between sun and open shade light changes its chroma with its level; so much of it is allowed.
inline constexpr double kChromaPerLevel = 0.07;
// Light within a scene seldom changes by more than this from one pixel to the next; solid black ink on white does.
inline constexpr double kPaleInk = 9, kDarkInk = 16;
inline constexpr int kMaterialRounds = 2;

// Shading without colour, up to a factor.
struct RelativeLight {
  static constexpr int kPlanes = 1;
};

// Change of log shading to the right-hand and to the lower neighbour.
struct LightSteps {
  static constexpr int kPlanes = 2;
};

struct Separation {
  // R relative to the material that fills most of the picture; 0 outside the mask. May leave [0, 1].
  Image<Reflectance> reflectance;
  Image<RelativeLight> shading;      // E, in units of `light`; 0 outside the mask
  Image<LightSteps> steps;           // as step 2 judged them
  std::array<double, 3> material{};  // L = E material R: the dominating colour, geometric mean 1
};

// light   the picture.
// inside  pixels of at least Coverage::kWhole take part.
Separation SeparateReflectance(ImageView<SceneLinear> light, ImageView<Coverage> inside);

}  // namespace wheatpaste
