// plane_pose.h - a rectangle of known size before a camera of known focal length: does it fit the marks?
//
// Model   x_photo = f P / P_z + principal, P = R (X, Y, 0) + t; R and t by least squares of the
//         distances in the photo, started from the homography (both signs of depth are not possible:
//         the rectangle lies in front).
// Source  Hartley, Zisserman 2004, section 8.1; decomposition of a plane's homography as in Zhang 2000,
//         IEEE PAMI 22(11), 1330-1334.
#pragma once

#include <optional>
#include <span>

#include <Eigen/Core>

#include "geometry/coords.h"
#include "geometry/homography.h"

namespace wheatpaste {

struct PlanePose {
  Eigen::Matrix3d camera_from_surface;  // rotation; camera looks along +z, y down
  Eigen::Vector3d origin_mm;            // surface origin in camera mm
  double residual_px = 0;               // root mean square distance over the pairs
  double largest_px = 0;                // largest distance
  size_t largest_index = 0;             // of which pair
};

// pairs  source: surface mm, target: photo px; at least four.
std::optional<PlanePose> FitPlanePose(std::span<const PointPair> pairs,
                                      const Eigen::Matrix3d& photo_from_surface, double focal_px,
                                      PhotoPx principal);

}  // namespace wheatpaste
