// visibility.h - how much of each output pixel shows the surface: its own outline, what stands in
// front of it, and its matte.
#pragma once

#include "base/error.h"
#include "image/image.h"
#include "scene/scene.h"
#include "surface/fit_plane.h"
#include "surface/frame.h"

namespace wheatpaste {

struct Visibility {
  RectPx region;         // output px: the surface's bounds within the picture
  Image<Coverage> seen;  // of the region's pixels: 0 hidden or outside, 1 wholly the surface
};

// errors  the matte is no picture, or not of the photo's size; at the matte's place.
Result<Visibility> FindVisibility(const Surface& surface, const FittedPlane& plane,
                                  const Frame& frame);

}  // namespace wheatpaste
