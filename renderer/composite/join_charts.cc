#include "composite/join_charts.h"

#include <algorithm>

namespace wheatpaste {

RectPx BoundsOf(const std::vector<const ChartPicture*>& pictures) {
  RectPx bounds = pictures.front()->region;
  for (const ChartPicture* picture : pictures) bounds = Hull(bounds, picture->region);
  return bounds;
}

Image<Coverage> SeenTogether(const std::vector<const ChartPicture*>& pictures,
                             const RectPx& bounds) {
  Image<Coverage> seen(SizePx{bounds.width(), bounds.height()});
  for (const ChartPicture* picture : pictures) {
    const RectPx& r = picture->region;
    for (int64_t y = r.y0; y < r.y1; ++y) {
      const float* from = picture->seen.row(0, y - r.y0);
      float* to = seen.row(0, y - bounds.y0) + (r.x0 - bounds.x0);
      for (int64_t x = 0; x < r.width(); ++x) to[x] = std::min(1.0f, to[x] + from[x]);
    }
  }
  return seen;
}

}  // namespace wheatpaste
