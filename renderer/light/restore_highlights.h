// restore_highlights.h - light that was too bright for the photo, guessed from what surrounds it.
//
// Model   a band at kClipLevel or above is clipped: its light was at least that.
//         - Some bands of a pixel clipped: the others tell its level; the clipped band follows them by the colour of
//           the unclipped pixels round the patch, so that a warm light does not turn yellow, then white.
//         - All bands clipped: Y is the dome with Y = the rim's on the rim and the rim's mean slope s across it,
//               laplace(Y) = -c,   c = s (length of rim) / (area)     (divergence theorem)
//           in the rim's colour, at most kMostDome.
//         It is a guess, never less than the clip level: it decides only what dark ink makes of a glare (as bright as
//         the photo's, not gray).
// Source  derived here; tests/light/restore_highlights_test.cc.
// Threads pure function.
#pragma once

#include "image/image.h"

namespace wheatpaste {

// Linear; code 253 of 255 in sRGB.
inline constexpr float kClipLevel = 0.982f;
inline constexpr float kMostDome = 4.0f;

// light    the region's pixels; clipped ones that are wholly the surface are raised.
// seen     how much of each pixel is the surface.
// returns  share of the surface's pixels of which all bands are clipped.
double RestoreHighlights(MutableImageView<SceneLinear> light, ImageView<Coverage> seen);

}  // namespace wheatpaste
