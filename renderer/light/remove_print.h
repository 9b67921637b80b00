// remove_print.h - a surface without the print that the photo shows on it.
//
// Model   the bare material is the one that fills most of the surface. Its own reflectance may seem to change over the
//         surface, since light has colour: log chroma of R on bare pixels is fitted by
//             k0 + k1 x + k2 y + k3 x^2 + k4 x y + k5 y^2 + k6 log E     (robust: Cauchy weights)
//         of which the last term is the tint that shade has against sun. Print is what differs from that in chroma by more
//         than kPrintChroma, or in level by more than kPrintLevel, and kPrintNoise times the noise; specks are dropped,
//         kPrintMargin px are added, into which print's edges bleed.
//         There the bare light is solved anew: its log level from the judged steps (LightSteps: shading and shadows go on,
//         print's own edges do not), its chroma from the fit, both held to the photo on the bare pixels all round.
//         So no error of level made across the surface shows as a ghost of the print's outline.
// Noise   steps of level within print are the photo's own: its texture and noise stay.
// Source  Perez, Gangnet, Blake 2003, ACM TOG 22(3), 313-318 (a field from its steps, held at a border); the rest is
//         derived here, tests/composite/bare_surface_test.cc.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include "image/image.h"
#include "light/separate_reflectance.h"

namespace wheatpaste {

inline constexpr double kPrintChroma = 0.05, kPrintLevel = 0.12, kPrintNoise = 4;
inline constexpr int kPrintMargin = 4;

struct BareSurface {
  Image<SceneLinear> light;  // the region's pixels, bare where there was print
  Image<Coverage> changed;   // 0 where the pixel is the photo's own, 1 where it is wholly made anew
};

// light, seen  the region's pixels, and how much of each is the surface.
// found        SeparateReflectance of `light` within InnerPixels(seen).
BareSurface RemovePrint(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                        const Separation& found);

// 1 where a pixel and all within kBorderPx of it are the surface, so that nothing beside it has bled in; where no pixel
// is, those that are the surface themselves.
inline constexpr int kBorderPx = 2;
Image<Coverage> InnerPixels(ImageView<Coverage> seen);

}  // namespace wheatpaste
