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

// A band of the drawing: rows [y0, y1) of `whole`, 0xAARRGGBB words, premultiplied in codes.
struct DrawnBand {
  const uint32_t* pixels = nullptr;
  SizePx whole;
  int64_t y0 = 0;
  int64_t y1 = 0;
};

// factor  1 to kMaxFactor.
// edges   apply the edge model.
// Fills rows [out_y0, out_y1) of `out` from a band that holds drawn rows [out_y0 * factor - 1,
// out_y1 * factor + 1) as far as the drawing has them.
void AverageBand(const DrawnBand& band, int factor, bool edges, int64_t out_y0, int64_t out_y1,
                 MutableImageView<LinearPremul> out);

}  // namespace wheatpaste
