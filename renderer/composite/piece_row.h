// piece_row.h - where a row of a placement's piece lies on its artwork, as blurred as the photo is there.
#pragma once

#include <vector>

#include "composite/prepare_artwork.h"
#include "surface/map_row.h"

namespace wheatpaste {

// Footprints of the pixels of `span` in row y of the picture.
// widening  room, kept by a worker from row to row.
void MapPieceRow(const PreparedSurface& surface, const ArtworkPiece& piece, int64_t y,
                 const Span& span, std::vector<float>& widening, FootprintBuffer& footprints);

}  // namespace wheatpaste
