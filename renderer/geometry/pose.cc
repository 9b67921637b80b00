#include "geometry/pose.h"

#include <Eigen/Geometry>

namespace wheatpaste {

Pose Pose::FromNumbers(const std::array<double, 6>& numbers) {
  Pose pose;
  const Eigen::Vector3d turn(numbers[0], numbers[1], numbers[2]);
  if (const double angle = turn.norm(); angle > 0) {
    pose.rotation = Eigen::AngleAxisd(angle, turn / angle).toRotationMatrix();
  }
  pose.translation = {numbers[3], numbers[4], numbers[5]};
  return pose;
}

std::array<double, 6> Pose::Numbers() const {
  const Eigen::AngleAxisd turn(rotation);
  const Eigen::Vector3d axis = turn.angle() * turn.axis();
  return {axis.x(), axis.y(), axis.z(), translation.x(), translation.y(), translation.z()};
}

}  // namespace wheatpaste
