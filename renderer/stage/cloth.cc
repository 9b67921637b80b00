#include "stage/cloth.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

void FollowLinks(Cloth& cloth) {
  for (const ClothLink& link : cloth.links) {
    const auto a = static_cast<size_t>(link.a), b = static_cast<size_t>(link.b);
    const int moving = (cloth.held[a] ? 0 : 1) + (cloth.held[b] ? 0 : 1);
    if (moving == 0) continue;
    const Eigen::Vector3d between = cloth.points[b] - cloth.points[a];
    const double length = between.norm();
    if (!(length > 0)) continue;
    const Eigen::Vector3d step = link.share * (length - link.rest) / (length * moving) * between;
    if (!cloth.held[a]) cloth.points[a] += step;
    if (!cloth.held[b]) cloth.points[b] -= step;
  }
}

}  // namespace

void Relax(Cloth& cloth, const ClothRun& run) {
  std::vector<Eigen::Vector3d> before = cloth.points;
  std::vector<Eigen::Vector3d> pulls(cloth.points.size(), Eigen::Vector3d::Zero());
  for (int step = 0; step < run.steps; ++step) {
    if (run.pull) run.pull(cloth.points, pulls);
    for (size_t i = 0; i < cloth.points.size(); ++i) {
      if (cloth.held[i]) continue;
      const Eigen::Vector3d moved = (1 - run.damping) * (cloth.points[i] - before[i]) + pulls[i];
      before[i] = cloth.points[i];
      cloth.points[i] += moved;
    }
    for (int round = 0; round < run.rounds; ++round) {
      FollowLinks(cloth);
      if (run.contacts) run.contacts(cloth.points);
    }
  }
}

double WorstStrain(const Cloth& cloth) {
  double worst = 0;
  for (const ClothLink& link : cloth.links) {
    if (link.share < 1) continue;
    const double length =
        (cloth.points[static_cast<size_t>(link.b)] - cloth.points[static_cast<size_t>(link.a)])
            .norm();
    worst = std::max(worst, std::abs(length / link.rest - 1));
  }
  return worst;
}

}  // namespace wheatpaste
