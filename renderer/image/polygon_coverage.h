// polygon_coverage.h - how much of each pixel lies inside a polygon, exactly.
//
// Model   the signed area that each edge cuts off in each pixel of its rows, summed along the row: the
//         exact area of the polygon within the pixel (box filter). Where outlines overlap, or one
//         crosses itself, areas add by winding and end at 1.
// Source  derived here; checked against closed forms in tests/image/polygon_coverage_test.cc.
#pragma once

#include <span>
#include <vector>

#include <Eigen/Core>

#include "image/image.h"

namespace wheatpaste {

// outline  closed, any orientation, px of a picture; pixel (i, j) covers [i, i + 1) x [j, j + 1).
// region   the pixels wanted; the result's pixel (0, 0) is the region's first.
Image<Coverage> PolygonCoverage(std::span<const Eigen::Vector2d> outline, const RectPx& region);

}  // namespace wheatpaste
