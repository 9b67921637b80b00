#include "composite/piece_row.h"

namespace wheatpaste {

void MapPieceRow(const PreparedSurface& surface, const ArtworkPiece& piece, int64_t y,
                 const Span& span, std::vector<float>& widening, FootprintBuffer& footprints) {
  const ChartPicture& picture = surface.charts[piece.chart].picture;
  if (piece.artwork_from_output) {
    MapPlaneRow(*piece.artwork_from_output, y, span.x0, span.x1, footprints);
  } else {
    MapStoredRow(picture, piece.artwork_from_surface, y, span.x0, span.x1, footprints);
  }
  if (!surface.focus) return;
  widening.resize(static_cast<size_t>(span.x1 - span.x0));
  for (int64_t x = span.x0; x < span.x1; ++x) {
    widening[static_cast<size_t>(x - span.x0)] = static_cast<float>(
        surface.focus->WideningAt(static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5));
  }
  WidenFootprints(widening, footprints);
}

}  // namespace wheatpaste
