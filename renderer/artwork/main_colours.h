// main_colours.h - the flat colours that an artwork is made of: what a press, a brand sheet or a reader is asked about.
//
// Model   drawn once at about kMainColoursPx pixels, and counted (colour_count.h).
// Threads safe to call from several at once.
#pragma once

#include <vector>

#include "artwork/artwork.h"
#include "artwork/colour_count.h"

namespace wheatpaste {

// Finer, a gradient would have steps that count as flat; coarser, small lettering would be all edge.
inline constexpr int64_t kMainColoursPx = int64_t{2} << 20;

// returns  as ColourCount::Colours.
// errors   the artwork cannot be drawn.
Result<std::vector<MainColour>> MainColours(const Artwork& artwork);

}  // namespace wheatpaste
