// nonnegative_fit.h - least squares with unknowns none of which may be negative.
//
// Model   x >= 0 with the least x' G x - 2 x' b, G = A' A and b = A' y of the system A x = y.
// Source  Lawson, Hanson 1974, Solving Least Squares Problems, chapter 23, algorithm NNLS, on the normal equations.
// Threads pure function.
#pragma once

#include <Eigen/Core>

namespace wheatpaste {

// gram    n x n, symmetric, at least semidefinite.
// start   n, where a similar system's answer lay; unknowns above 0 in it begin as free. May be empty.
Eigen::VectorXd FitNonnegative(const Eigen::MatrixXd& gram, const Eigen::VectorXd& b,
                               const Eigen::VectorXd& start);

}  // namespace wheatpaste
