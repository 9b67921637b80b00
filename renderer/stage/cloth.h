// cloth.h - points joined by links, let go until they hang still.
//
// Model   position-based: in every step each point goes on by its damped last movement and its pull, then each link in turn moves
//         its two ends towards its rest length by `share` of what is missing. Links between neighbours keep lengths, diagonal ones
//         resist shear, those over two cells resist bending. Where it comes to rest is a shape, not a measure of forces.
// Order   one thread, links and steps in their order, square roots alone: the same bits everywhere.
// Source  M. Müller, B. Heidelberger, M. Hennix, J. Ratcliff 2007, Position based dynamics, J. Vis. Commun. Image R. 18(2), 109-118,
//         doi:10.1016/j.jvcir.2007.01.005: eqs. 10 and 11 for the links.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include <Eigen/Core>

namespace wheatpaste {

struct ClothLink {
  int32_t a = 0, b = 0;
  double rest = 0;   // mm
  double share = 1;  // 0 to 1
};

struct Cloth {
  std::vector<Eigen::Vector3d> points;  // mm
  std::vector<bool> held;               // they stay where they are
  std::vector<ClothLink> links;
};

struct ClothRun {
  int steps = 100, rounds = 10;  // rounds of the links a step
  double damping = 0.05;         // share of the movement lost a step
  // mm that point `i` is moved each step, before links; of all points at once.
  std::function<void(const std::vector<Eigen::Vector3d>& points, std::vector<Eigen::Vector3d>& pulls)>
      pull;
  // Moves points out of one another; after each round.
  std::function<void(std::vector<Eigen::Vector3d>& points)> contacts;
};

void Relax(Cloth& cloth, const ClothRun& run);

// Largest |length / rest - 1| of the links with `share` 1.
double WorstStrain(const Cloth& cloth);

}  // namespace wheatpaste
