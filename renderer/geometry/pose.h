// pose.h - an object before the camera.
//
// Model   camera mm = R object mm + t; the camera looks along +z with y down, so that for an undistorted
//         lens photo px = principal + focal (X, Y) / Z. Six numbers: R as angle times axis (rad), then t (mm).
#pragma once

#include <array>

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

struct Pose {
  Eigen::Matrix3d rotation = Eigen::Matrix3d::Identity();  // camera from object
  Eigen::Vector3d translation = Eigen::Vector3d::Zero();   // the object's origin, camera mm

  Eigen::Vector3d CameraFromObject(const Eigen::Vector3d& object) const {
    return rotation * object + translation;
  }
  Eigen::Vector3d ObjectFromCamera(const Eigen::Vector3d& camera) const {
    return rotation.transpose() * (camera - translation);
  }

  static Pose FromNumbers(const std::array<double, 6>& numbers);
  std::array<double, 6> Numbers() const;
};

}  // namespace wheatpaste
