// fit_heights.h - heights whose slopes along the light make a given shading: by Fourier transform, by least squares.
//
// Model   that of relief.h, linear: s = -a . grad z.
// Source  Pentland 1990 (relief.h); conjugate gradients: Hestenes, Stiefel 1952, J. Res. NBS 49(6), 409-436.
#pragma once

#include <vector>

#include <Eigen/Core>

#include "surface/flat_grid.h"

namespace wheatpaste {

// One grid's heights, mm, from shading s = R - 1 at its nodes. The grid counts as going on periodically.
// a        of the model, not 0.
// damping  share of the largest answer; 0: none.
GridValues HeightsFromShading(const GridShape& shape, const GridValues& shading,
                              const Eigen::Vector2d& a, double damping);

// Which sides of a grid are the face's own, where its heights are 0.
struct FixedSides {
  bool left = false, top = false, right = false, bottom = false;
};

// The least squares of the model. weights, a  of the nodes. start  heights to begin from. most_steps  of conjugate gradients
// towards it.
GridValues FitHeights(const GridShape& shape, const GridValues& shading,
                      const std::vector<double>& weights, const std::vector<Eigen::Vector2d>& a,
                      double damping, const FixedSides& fixed, GridValues start, int most_steps);

}  // namespace wheatpaste
