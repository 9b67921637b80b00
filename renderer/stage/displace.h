// displace.h - relief from a height picture, as geometry.
//
// Model   a point at texture mm t moves by `height_mm` times the picture's value there along its vertex's normal (the mean of its
//         corners'); edges longer than what the picture shows, `kDisplaceTexels` of its pixels, are halved first, both triangles of an edge alike,
//         so no crack opens. A corner's new normal n - grad h (grad h the slope of the height in the surface), so hard edges stay hard.
//         Where corners of one vertex lie at different places of the picture, it moves by their mean.
// Flat    texture mm, charts and sheet mm are kept: what is printed stretches with the relief.
// Picture repeating, bilinear between pixel centres; (0, 0) mm is its bottom left, x right, y up (as stage/world.h).
// Source  derived here; displace_test.cc checks heights, normals and cracks.
#pragma once

#include <cstdint>

#include <Eigen/Core>

#include "base/error.h"
#include "geometry/solid.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int64_t kMaxDisplacedTriangles = 4'000'000;
inline constexpr double kDisplaceTexels = 2;

struct Relief {
  ImageView<Coverage> height;  // 0 to 1, not empty
  Eigen::Vector2d tile_mm{1000, 1000};
  double turn_rad = 0;   // of the picture, counter-clockwise
  double height_mm = 0;  // of white above black
  double finest_mm = 0;  // edges are not halved below this; 0: as fine as the picture
};

// part    the triangles that move, with the vertices they share with others.
// errors  more than kMaxDisplacedTriangles, at `key`, with what to change.
Result<Solid> Displace(Solid solid, int32_t part, const Relief& relief,
                       const Placed<double>& displacement);

}  // namespace wheatpaste
