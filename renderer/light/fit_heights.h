// fit_heights.h - heights whose slopes along the light make a given shading: by Fourier transform, by least squares.
//
// Model   that of relief.h, linear: s = -a . grad z.
// Source  Pentland 1990 (relief.h); conjugate gradients: Hestenes, Stiefel 1952, J. Res. NBS 49(6), 409-436.
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include <Eigen/Core>

#include "surface/flat_grid.h"

namespace wheatpaste {

// What keeps heights small that the shading does not tell.
struct Damping {
  double slopes = 0;  // weight of |a|^2 |grad z|^2
  double longest_mm =
      0;  // waves as long as this come out half as high, longer ones lower; 0: all the same
  // Weight of |a|^2 z^2: (2 pi / longest)^2.
  double Heights() const {
    return longest_mm > 0 ? std::pow(2 * std::numbers::pi / longest_mm, 2) : 0;
  }
};

// One grid's heights, mm, from shading s = R - 1 at its nodes. The grid counts as going on periodically.
// a        of the model, not 0.
GridValues HeightsFromShading(const GridShape& shape, const GridValues& shading,
                              const Eigen::Vector2d& a, const Damping& damping);

// Which sides of a grid are the face's own, where its heights are 0.
struct FixedSides {
  bool left = false, top = false, right = false, bottom = false;
};

// The least squares of the model. weights, a  of the nodes. start  heights to begin from. most_steps  of conjugate gradients
// towards it.
GridValues FitHeights(const GridShape& shape, const GridValues& shading,
                      const std::vector<double>& weights, const std::vector<Eigen::Vector2d>& a,
                      const Damping& damping, const FixedSides& fixed, GridValues start,
                      int most_steps);

}  // namespace wheatpaste
