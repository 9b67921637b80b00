// solve_normal.h - normal equations of any size, compiled in one place: the templates are large.
//
// Model   G X = B, G symmetric and at least semidefinite, by LDL' with pivots (Golub, Van Loan, Matrix Computations,
//         section 4.4).
// Threads pure function.
#pragma once

#include <Eigen/Core>

namespace wheatpaste {

Eigen::MatrixXd SolveNormal(const Eigen::MatrixXd& g, const Eigen::MatrixXd& b);

}  // namespace wheatpaste
