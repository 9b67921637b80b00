// point_pose.h - where an object stands, from points of it that the photo shows; focal length known.
//
// Model   photo px = principal + focal (X, Y) / Z of R object + t (pose.h). Points on one plane: both poses
//         of IPPE; else SQPnP. Each is then refined by least squares of the distances in the photo.
// Source  Collins, Bartoli 2014, IJCV 109, 252-286 (IPPE); Terzakis, Lourakis 2020, ECCV (SQPnP); as built into
//         OpenCV 4.6, module calib3d.
#pragma once

#include <span>
#include <vector>

#include "geometry/pose.h"

namespace wheatpaste {

struct ObjectPoint {
  Eigen::Vector3d object;  // mm
  PhotoPx photo;           // lens distortion taken out
};

// points  at least four.
// returns poses with all points before the camera, the smallest distances first; none where the points fix no
//         pose (they lie on a line, or coincide).
std::vector<Pose> PosesFromPoints(std::span<const ObjectPoint> points, double focal_px,
                                  PhotoPx principal);

}  // namespace wheatpaste
