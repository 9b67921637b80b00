#include "ink/surroundings.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

// a_j (unit), k_j, p_j, w_j: no two along the same line or of the same length; weights add up to 1.
struct Wave {
  double x, y, z, number, phase, weight;
};
constexpr Wave kWaves[] = {{0.80, 0.36, 0.48, 5, 0.4, 0.4},
                           {-0.48, 0.60, 0.64, 7, 2.1, 0.35},
                           {0.60, -0.64, 0.48, 10, 4.0, 0.25}};

}  // namespace

double Surroundings::Diffuse(const Eigen::Vector3d& normal) const {
  const double u = 1 + normal.dot(up);
  return ambient * (1 - sky / 8 + sky * u * u / 8) + lamp * std::max(0.0, normal.dot(to_light));
}

double Surroundings::Dome(const Eigen::Vector3d& direction, double roughness) const {
  const double t = direction.dot(up), high = std::max(0.0, t);
  const double height = (1 - roughness) * high * high + roughness * (1 + t) * (1 + t) / 8;
  double waves = 0;
  if (uneven > 0) {
    for (const Wave& wave : kWaves) {
      const double turn = direction.x() * wave.x + direction.y() * wave.y + direction.z() * wave.z;
      waves += wave.weight * std::exp(-wave.number * wave.number * roughness * roughness) *
               std::cos(wave.number * turn + wave.phase);
    }
  }
  return ambient * (1 - sky / 8 + sky * height + uneven * waves);
}

double Surroundings::LampRoughness(double roughness) const {
  return std::min(1.0, std::hypot(roughness, lamp_size));
}

}  // namespace wheatpaste
