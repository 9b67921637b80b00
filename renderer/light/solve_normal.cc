#include "light/solve_normal.h"

#include <Eigen/Cholesky>

namespace wheatpaste {

Eigen::MatrixXd SolveNormal(const Eigen::MatrixXd& g, const Eigen::MatrixXd& b) {
  return g.ldlt().solve(b);
}

}  // namespace wheatpaste
