// artwork_spans.h - which pixels of a chart's picture an artwork can show in, and how large it is seen there.
#pragma once

#include <vector>

#include "surface/chart.h"

namespace wheatpaste {

// Output columns [x0, x1) of one row; empty where x1 <= x0.
struct Span {
  int64_t x0 = 0, x1 = 0;
  bool empty() const { return x1 <= x0; }
};

struct ArtworkSpans {
  std::vector<Span> rows;  // one for each row of the picture's region; none: not seen at all
  double px_per_mm = 0;    // output px per surface mm where the artwork is largest
  bool empty() const { return rows.empty(); }
};

// Output px per surface mm where the face is largest in the picture; 0 where it is not in it.
// size  of the face, mm; read only where the picture holds a projective map.
double LargestPxPerMm(const ChartPicture& picture, const SurfaceMm& size);

// Pixels within the filter's reach of the artwork. Runs in parallel; the same for any thread count.
// picture_size  of the whole output.
// widening      of the pixel filter, at most, by the photo's blur; at least 1.
ArtworkSpans FindArtworkSpans(const ChartPicture& picture, const SurfaceMm& size,
                              const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                              SizePx picture_size, double widening);

}  // namespace wheatpaste
