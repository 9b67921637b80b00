// frame_of.h - two directions across a third.
//
// Source  Duff et al. 2017, JCGT 6(1), Building an Orthonormal Basis, Revisited.
#pragma once

#include <cmath>
#include <utility>

#include <Eigen/Core>

namespace wheatpaste {

// z  unit. Returns x and y: x, y, z are right-handed.
inline std::pair<Eigen::Vector3f, Eigen::Vector3f> FrameOf(const Eigen::Vector3f& z) {
  const float sign = std::copysign(1.0f, z.z());
  const float a = -1 / (sign + z.z()), b = z.x() * z.y() * a;
  return {{1 + sign * z.x() * z.x() * a, sign * b, -sign * z.x()},
          {b, sign + z.y() * z.y() * a, -z.y()}};
}

}  // namespace wheatpaste
