#include "surface/framed_part.h"

#include <algorithm>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

struct Sides {
  double left = 0, top = 0, right = 0, bottom = 0;
};

// Bounds of what the photo shows of the surface, with the margin; empty where it shows none of it.
Sides SidesOf(const FittedSurface& surface, double margin, SizePx photo) {
  const Frame probe = FrameSmall(photo);
  RectPx bounds;
  for (const Face& face : surface.faces) {
    for (const auto& chart : face.charts) {
      const RectPx region = chart->Picture(probe).region;
      if (region.empty()) continue;
      bounds = bounds.empty() ? region : Hull(bounds, region);
    }
  }
  const double step = 1 / probe.scale();
  const double room =
      margin * step * static_cast<double>(std::max(bounds.width(), bounds.height()));
  return {
      static_cast<double>(bounds.x0) * step - room, static_cast<double>(bounds.y0) * step - room,
      static_cast<double>(bounds.x1) * step + room, static_cast<double>(bounds.y1) * step + room};
}

}  // namespace

Result<SourceWindow> FindFramedPart(const FramedPart& frame,
                                    const std::vector<FittedSurface>& surfaces, SizePx photo) {
  Sides sides;
  if (frame.rectangle) {
    const auto& r = *frame.rectangle;
    sides = {r[0], r[1], r[2], r[3]};
  } else {
    sides = SidesOf(surfaces[frame.surface], frame.margin, photo);
  }
  const double left = std::max(0.0, sides.left), top = std::max(0.0, sides.top);
  const double right = std::min(static_cast<double>(photo.width), sides.right);
  const double bottom = std::min(static_cast<double>(photo.height), sides.bottom);
  // A frame of less than a pixel shows nothing.
  if (right - left >= 1 && bottom - top >= 1) {
    return SourceWindow{left, top, right - left, bottom - top};
  }
  return Error{frame.place, frame.subject,
               fmt::format("expected what the photo shows, at least 1 x 1 px of it; the photo is "
                           "{} x {} px",
                           photo.width, photo.height)};
}

}  // namespace wheatpaste
