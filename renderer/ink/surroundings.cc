#include "ink/surroundings.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {

double Surroundings::Diffuse(const Eigen::Vector3d& normal) const {
  return ambient * (1 + contrast * normal.dot(up) / 2) + lamp * std::max(0.0, normal.dot(to_light));
}

double Surroundings::Dome(const Eigen::Vector3d& direction, double roughness) const {
  const double x = std::clamp(direction.dot(up) / (kHorizonWidth + roughness), -1.0, 1.0);
  return ambient * (1 + contrast * (3 * x - x * x * x) / 2);
}

double LampRoughness(double roughness) { return std::min(1.0, std::hypot(roughness, kLampSize)); }

}  // namespace wheatpaste
