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
  if (!surface.focus && picture.blur.size().area() == 0) return;
  widening.resize(static_cast<size_t>(span.x1 - span.x0));
  if (!surface.focus) {
    const float* const blur =
        picture.blur.row(0, y - picture.region.y0) + (span.x0 - picture.region.x0);
    for (size_t i = 0; i < widening.size(); ++i) widening[i] = WideningBy(blur[i]);
    WidenFootprints(widening, footprints);
    return;
  }
  for (int64_t x = span.x0; x < span.x1; ++x) {
    widening[static_cast<size_t>(x - span.x0)] = static_cast<float>(
        surface.focus->WideningAt(static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5));
  }
  WidenFootprints(widening, footprints);
}

}  // namespace wheatpaste
