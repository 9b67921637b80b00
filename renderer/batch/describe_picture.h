// describe_picture.h - what a picture's record says of the artwork in it: where and how large it is printed, and in which
// colours.
//
// Model   colours are counted as the artwork is drawn for the picture (artwork/colour_count.h), all of its artworks
//         together, each as large as it is seen; nothing is drawn for it. Under a print condition they are held as
//         check_print.h has it. Percent and Lab are rounded to two decimals: fewer than an eye tells apart.
// Threads safe to call from several at once.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "artwork/colour_count.h"
#include "batch/manifest.h"
#include "colour/press.h"
#include "composite/render_scene.h"

namespace wheatpaste {

inline constexpr size_t kMostRecordedColours = 12;

// Has the colours of the artworks that the scene prints counted from now on.
std::shared_ptr<const ColourCount> CountPrinted(const Scene& scene, ArtworkByName& artworks);

// Of each placement that prints or has a finish.
// picture  where the picture lies in its file.
std::vector<PlacedRecord> PlacementsOf(const RenderedScene& rendered, const RectPx& picture);

// swatches  the first that has a colour names it.
// press     of the print condition; none: no condition.
std::vector<ColourRecord> ColoursOf(const std::vector<MainColour>& colours,
                                    const std::vector<Swatch>& swatches,
                                    const std::optional<Press>& press);

}  // namespace wheatpaste
