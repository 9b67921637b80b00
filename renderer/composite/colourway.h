// colourway.h - a scene's artworks in the colours of a colourway.
//
// Rule    the table is exact: each of its colours must be in one artwork of the scene at least. Artwork
//         that has none of them, and bitmaps, stay as they are drawn.
#pragma once

#include <string>
#include <vector>

#include "artwork/recolour.h"
#include "base/error.h"
#include "composite/prepare_artwork.h"
#include "scene/scene.h"

namespace wheatpaste {

// For each artwork by itself: what it lacks is passed over.
Recolouring RecolouringOf(const std::vector<ColourChange>& changes);

// A mistake, at its place in the table, for each colour that no artwork has.
Errors LackingColours(const std::vector<ColourChange>& changes, const ArtworkByName& artworks);

// The artworks that the colourway cannot change.
std::vector<std::string> NotesOf(const std::vector<ColourChange>& changes,
                                 const ArtworkByName& artworks);

}  // namespace wheatpaste
