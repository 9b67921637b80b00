#include "surface/frame.h"

#include <algorithm>

namespace wheatpaste {

Map<OutputPx, PhotoPx> Frame::output_from_photo() const {
  const double s = scale();
  Eigen::Matrix3d map;
  map << s, 0, -s * window.x0, 0, s, -s * window.y0, 0, 0, 1;
  return Map<OutputPx, PhotoPx>(map);
}

Frame FramePhoto(SizePx photo, SizePx size) {
  Frame frame{photo, size, {}};
  const auto width = static_cast<double>(photo.width), height = static_cast<double>(photo.height);
  // Photo px per output px: the side that would run out first decides.
  const double step =
      std::min(width / static_cast<double>(size.width), height / static_cast<double>(size.height));
  frame.window.width = step * static_cast<double>(size.width);
  frame.window.height = step * static_cast<double>(size.height);
  frame.window.x0 = (width - frame.window.width) / 2;
  frame.window.y0 = (height - frame.window.height) / 2;
  return frame;
}

}  // namespace wheatpaste
