// map_row.h - the artwork's position and footprint under each pixel of a piece of an output row.
#pragma once

#include <vector>

#include "geometry/coords.h"
#include "image/elliptical_average.h"
#include "surface/chart.h"

namespace wheatpaste {

// Room for one piece of a row, kept by a worker from row to row.
class FootprintBuffer {
 public:
  void Resize(int64_t count);
  FootprintRow row() const;

  std::vector<float> u, v, du_dx, du_dy, dv_dx, dv_dy;
};

// Pixels [x0, x1) of row y, each at its centre. Positions in level-0 artwork px.
void MapPlaneRow(const Map<ArtworkPx, OutputPx>& artwork_from_output, int64_t y, int64_t x0,
                 int64_t x1, FootprintBuffer& buffer);

// The same from a picture whose `mm` is set; the pixels lie within its region. The map is affine.
void MapStoredRow(const ChartPicture& picture,
                  const Map<ArtworkPx, SurfaceMm>& artwork_from_surface, int64_t y, int64_t x0,
                  int64_t x1, FootprintBuffer& buffer);

// Multiplies footprint i by factor[i]: the pixel filter's standard deviation grows by it.
void WidenFootprints(const std::vector<float>& factor, FootprintBuffer& buffer);

}  // namespace wheatpaste
