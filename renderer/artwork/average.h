// average.h - from a drawing in codes, drawn larger, to linear light at the size asked for.
//
// Model   cairo mixes the colours of an edge in the encoded space: an edge pixel between colours p
//         and q (codes), covered by t, holds
//             v = (1 - t) p + t q      although its light is      (1 - t) lin(p) + t lin(q).
//         Two things put that right. Inside an opaque neighbourhood of 3 x 3 drawn pixels p and q
//         are taken as the neighbourhood's least and largest code, channel by channel; then t
//         follows from v and the light from t. Where p and q lie within kSmoothCodes (gradients),
//         lin(v) is used. Then factor x factor drawn pixels are averaged, premultiplied, in linear
//         light. At edges towards the transparent cairo mixes alpha alone, which is right as it is.
// Exact   a pixel whose drawn pixels are all one opaque code gets lin(code) to the bit, alpha 1.
// Limits  a stroke narrower than two drawn pixels whose colour lies between those of its two sides
//         is taken for an edge. Drawings that hold bitmaps are averaged without the edge model.
// Source  derived here; measured in tests/artwork/edges_test.cc.
#pragma once

#include <cstdint>

#include "base/rect.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int kSmoothCodes = 8;
inline constexpr int kMaxFactor = 4;

// A part of the drawing `whole`: 0xAARRGGBB words, premultiplied in codes, rows tightly packed.
struct DrawnPart {
  const uint32_t* pixels = nullptr;
  SizePx whole;
  RectPx part;
};

// What has to be drawn for the pixels `wanted` of the raster: `factor` times as many, and one beyond
// on every side as far as the drawing goes.
RectPx DrawnFor(const RectPx& wanted, int factor, SizePx whole);

// factor  1 to kMaxFactor.
// edges   apply the edge model.
// drawn   holds DrawnFor(wanted), or more.
// Fills `out`, as large as `wanted`.
void AverageDrawn(const DrawnPart& drawn, int factor, bool edges, const RectPx& wanted,
                  MutableImageView<LinearPremul> out);

}  // namespace wheatpaste
