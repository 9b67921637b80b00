// shading.h - the light that reaches a surface, read from the base photo, for ink that hides what is
// under it.
//
// Model   L = D + S and D = E Rs (S: gloss.h), so E = D / Rs. The substrate's own fine texture
//         (weave, grain of plaster, noise) must not show through opaque ink, the shading, the shadows
//         and their edges must. An edge-preserving mean over windows of the surface does that, guided by
//         luminance Y: in each window D_c = a_c Y + b_c with
//             a_c = cov(Y, D_c) / var(Y) * max(0, 1 - v / var(Y)),   v = (kTextureReach t mean(Y))^2
//         where t is the contrast of the surface's fine texture, measured on the photo. A window whose
//         variance is texture alone is flattened, one that holds a shadow's edge is kept. A surface without
//         texture (t = 0) keeps its light unchanged. What was taken out stays known: T = Y(D) / Y(cleaned D).
// Bands   a band in which the substrate returns little says little of the light: on green paint the photo's
//         blue is noise, or clipped. Bands are weighted by trust
//             w_c = smoothstep(kWeakBand, kStrongBand, Rs_c / max Rs),
//             E_c = w_c D_c / Rs_c + (1 - w_c) sum(Rs D) / sum(Rs^2)
//         so that neutral and kraft-coloured substrates keep their own colour of light exactly, and
//         on saturated ones the light is taken to have the colour that the strong bands show.
// Source  He, Sun, Tang 2013, IEEE PAMI 35(6), 1397-1409 (guided image filter), with windows cut to
//         the visible surface and the shrinkage of Lee 1980, IEEE PAMI 2(2), 165-168 (local statistics),
//         in place of its constant. The trust in bands is derived here.
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include <array>

#include "colour/colour.h"
#include "image/image.h"

namespace wheatpaste {

// How many times the texture's own contrast is still taken for texture.
inline constexpr double kTextureReach = 1.5;

inline constexpr double kWeakBand = 0.15;
inline constexpr double kStrongBand = 0.45;

inline constexpr float kMostTexture = 4;

// E_c = sum over k of weights[c][k] L_k.
using BandWeights = std::array<std::array<float, 3>, 3>;
// substrate  every band above 0.
BandWeights IrradianceWeights(const Reflectance& substrate);

struct Shading {
  Image<SceneLinear> irradiance;  // E of the region's pixels, up to the photo's exposure
  Image<Coverage>
      fine_texture;    // T of the region's pixels, 0 to kMostTexture; 1 beside the surface
  double texture = 0;  // contrast t that was found: robust standard deviation over mean
};

// light   D of the region's pixels.
// seen    how much of each pixel is the surface; pixels wholly seen decide, the others are filled.
// radius  half the window's side, px, at least 1.
Shading SeparateShading(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                        const Reflectance& substrate, int radius);

}  // namespace wheatpaste
