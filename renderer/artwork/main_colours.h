// main_colours.h - the flat colours that an artwork is made of: what a press, a brand sheet or a reader is asked about.
//
// Model   drawn once at about kMainColoursPx pixels, coded as sRGB; a pixel counts where it and its four neighbours
//         are opaque and of one code. Codes that mostly border on nearly equal ones are steps of a gradient and left
//         out, so edges, gradients and photographs leave nothing behind.
//         share = pixels of that code / area that the artwork covers (the sum of alpha).
// Range   colours outside sRGB end at its limits. Shares sum to at most 1; the rest is edges, gradients, pictures.
//         At most kMostMainColours, none below kLeastShare.
// Threads safe to call from several at once.
#pragma once

#include <vector>

#include "artwork/artwork.h"
#include "colour/srgb.h"

namespace wheatpaste {

// Finer, a gradient would have steps that count as flat; coarser, small lettering would be all edge.
inline constexpr int64_t kMainColoursPx = int64_t{2} << 20;
inline constexpr size_t kMostMainColours = 24;
inline constexpr double kLeastShare = 0.001;

struct MainColour {
  Srgb8 colour;
  double share = 0;
};

// returns  by falling share, equal ones by code; empty where nothing is flat.
// errors   the artwork cannot be drawn.
Result<std::vector<MainColour>> MainColours(const Artwork& artwork);

}  // namespace wheatpaste
