#include "geometry/decompose.h"

#include <Eigen/QR>
#include <Eigen/SVD>

namespace wheatpaste {

SingularValues DecomposeSingular(const Eigen::MatrixXd& matrix) {
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(matrix, Eigen::ComputeFullV);
  return {svd.singularValues(), svd.matrixV()};
}

Eigen::MatrixXd SolveLeastSquares(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b) {
  return Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd>(a).solve(b);
}

Eigen::MatrixXd PseudoInverse(const Eigen::MatrixXd& matrix, double least_pivot) {
  Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> decomposition;
  decomposition.setThreshold(least_pivot);
  decomposition.compute(matrix);
  return decomposition.pseudoInverse();
}

}  // namespace wheatpaste
