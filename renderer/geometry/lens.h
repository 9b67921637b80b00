// lens.h - what the lens bends: from photo px to the px a camera without distortion would show, and back.
//
// Model   radial: with x, y from the principal point in focal lengths and r^2 = x^2 + y^2 (no distortion),
//             photo = principal + focal (1 + k1 r^2 + k2 r^4) (x, y)
//         positive k1 pincushion, negative barrel. The inverse by Newton's method on r, to 1e-12.
// Source  Brown 1966, Photogrammetric Engineering 32(3), 444-462; k1, k2 as OpenCV's calibration names them.
#pragma once

#include "geometry/coords.h"

namespace wheatpaste {

struct Lens {
  double focal_px = 1;
  PhotoPx principal;
  double k1 = 0, k2 = 0;

  bool is_straight() const { return k1 == 0 && k2 == 0; }
  // Both are the identity for a straight lens, to the last bit. Beyond the radius at which the model turns
  // back on itself the inverse stays at that radius.
  PhotoPx IdealFromPhoto(const PhotoPx& photo) const;
  PhotoPx PhotoFromIdeal(const PhotoPx& ideal) const;
  // d ideal / d photo; by central differences where the lens bends.
  Eigen::Matrix2d IdealChange(const PhotoPx& photo) const;
  // The largest undistorted radius, in focal lengths, up to which the model grows; infinity without bend.
  double MostRadius() const;
};

}  // namespace wheatpaste
