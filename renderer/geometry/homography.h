// homography.h - the projective map between two planes from point pairs.
//
// Model   target ~ H source. Four pairs fix H exactly; more are fitted: normalised direct linear
//         transform (centroid to 0, mean distance sqrt 2, smallest singular vector), then least squares
//         of the distances in the target, by Levenberg-Marquardt.
// Source  Hartley, Zisserman 2004, Multiple View Geometry, 2nd ed., algorithm 4.2 and section 4.4-4.5;
//         reachable accuracy section 5.1.3 (checked: tests/geometry/homography_test.cc, H06-H08).
#pragma once

#include <optional>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

struct PointPair {
  Eigen::Vector2d source;
  Eigen::Vector2d target;
};

struct HomographyFit {
  Eigen::Matrix3d target_from_source;
  double residual = 0;  // root mean square distance over the pairs, target units
};

// pairs    at least four.
// returns  nothing where the pairs do not fix a map (points on a line, points that coincide).
std::optional<HomographyFit> FitHomography(std::span<const PointPair> pairs);

}  // namespace wheatpaste
