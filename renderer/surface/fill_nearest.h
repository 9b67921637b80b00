// fill_nearest.h - pixels of which nothing is known take what the nearest known pixel holds.
//
// Model   Euclidean distance between centres as OpenCV's distance transform counts it (5 x 5, within a few percent).
// Threads runs in parallel; the same bits for any thread count.
#pragma once

#include "image/image.h"

namespace wheatpaste {

// known    above 0 where a pixel is known.
// returns  false, and nothing changed, where none is.
template <typename Colour>
bool FillFromNearest(ImageView<Coverage> known, MutableImageView<Colour> picture);

}  // namespace wheatpaste
