// outline_region.h - outlines of the photo in the picture: their bounds, and how much of each pixel they hold.
#pragma once

#include <span>
#include <vector>

#include <Eigen/Core>

#include "base/rect.h"
#include "image/image.h"
#include "scene/scene.h"
#include "surface/frame.h"

namespace wheatpaste {

struct Bounds {
  Eigen::Vector2d low, high;
};
// points  at least one.
Bounds BoundsOf(std::span<const Eigen::Vector2d> points);

// Output px of photo points.
std::vector<Eigen::Vector2d> ToOutput(const Frame& frame, std::span<const PhotoPx> points);

// The picture's pixels that any of the outlines (output px) can touch; empty where there are none.
RectPx RegionOf(std::span<const std::vector<Eigen::Vector2d>> outlines, SizePx picture);

// Exact share of each of the region's pixels within one of the outlines, which do not overlap.
Image<Coverage> CoverageOf(std::span<const std::vector<Eigen::Vector2d>> outlines,
                           const RectPx& region);

}  // namespace wheatpaste
