// point_distance.h - how far a pictured point lies from where its mark is, for automatic derivatives.
#pragma once

#include <ceres/rotation.h>

#include "geometry/coords.h"

namespace wheatpaste {

// residual = focal (X, Y) / Z + principal - photo, px, of camera mm = R object + t; pose as in pose.h.
// returns  false where the point lies behind the camera.
template <typename T>
bool PointDistance(const T& focal, const T* pose, const T object[3], const PhotoPx& principal,
                   const PhotoPx& photo, T* residual) {
  T p[3];
  ceres::AngleAxisRotatePoint(pose, object, p);
  for (int k = 0; k < 3; ++k) p[k] += pose[3 + k];
  if (!(p[2] > T(0))) return false;
  residual[0] = focal * p[0] / p[2] + principal.x - photo.x;
  residual[1] = focal * p[1] / p[2] + principal.y - photo.y;
  return true;
}

}  // namespace wheatpaste
