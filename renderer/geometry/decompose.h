// decompose.h - matrix decompositions of any size, compiled in one place: their templates are large.
//
// Threads pure functions.
#pragma once

#include <Eigen/Core>

namespace wheatpaste {

// M = U diag(values) V^T, by one-sided Jacobi rotations (Golub, Van Loan, Matrix Computations, section 8.6).
struct SingularValues {
  Eigen::VectorXd values;  // min(rows, columns) of them, falling
  Eigen::MatrixXd right;   // V, columns x columns: the last columns span what M takes to nothing
};
SingularValues DecomposeSingular(const Eigen::MatrixXd& matrix);

// X with the least |A X - B|, and among those the shortest.
Eigen::MatrixXd SolveLeastSquares(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b);

// Moore and Penrose's inverse; pivots below `least_pivot` times the largest count as 0.
Eigen::MatrixXd PseudoInverse(const Eigen::MatrixXd& matrix, double least_pivot);

}  // namespace wheatpaste
