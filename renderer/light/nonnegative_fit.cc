#include "light/nonnegative_fit.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/check.h"
#include "light/solve_normal.h"

namespace wheatpaste {
namespace {

// Of the mean diagonal: keeps nearly equal columns solvable.
constexpr double kRidge = 1e-10;
constexpr double kLeastGradient = 1e-9;

using Free = std::vector<Eigen::Index>;

Eigen::VectorXd SolveFree(const Eigen::MatrixXd& gram, const Eigen::VectorXd& b, const Free& free,
                          double ridge) {
  const auto n = static_cast<Eigen::Index>(free.size());
  Eigen::MatrixXd part(n, n);
  Eigen::VectorXd right(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index row = free[static_cast<size_t>(i)];
    right(i) = b(row);
    for (Eigen::Index j = 0; j < n; ++j) part(i, j) = gram(row, free[static_cast<size_t>(j)]);
    part(i, i) += ridge;
  }
  return SolveNormal(part, right);
}

}  // namespace

Eigen::VectorXd FitNonnegative(const Eigen::MatrixXd& gram, const Eigen::VectorXd& b,
                               const Eigen::VectorXd& start) {
  const Eigen::Index n = b.size();
  WHEATPASTE_CHECK_OP(gram.rows(), ==, n);
  WHEATPASTE_CHECK_OP(gram.cols(), ==, n);
  Eigen::VectorXd x = Eigen::VectorXd::Zero(n);
  if (n == 0) return x;
  const double ridge = kRidge * gram.trace() / static_cast<double>(n);
  const double tolerance = kLeastGradient * b.cwiseAbs().maxCoeff();
  Free free;
  if (start.size() == n) {
    for (Eigen::Index i = 0; i < n; ++i) {
      if (start(i) > 0) free.push_back(i);
    }
    x = start;
  }
  bool started = !free.empty();
  // Each round lowers the error; the bound is for rounding only.
  for (Eigen::Index round = 0; round < 3 * n + 10; ++round) {
    Eigen::Index best = -1;
    if (!started) {
      const Eigen::VectorXd gradient = b - gram * x;
      for (Eigen::Index i = 0; i < n; ++i) {
        if (x(i) > 0 || gradient(i) <= tolerance) continue;
        if (best < 0 || gradient(i) > gradient(best)) best = i;
      }
      if (best < 0) break;
      free.push_back(best);
    }
    started = false;
    // Unknowns that would fall below 0 are fixed there, the first to reach it first.
    while (!free.empty()) {
      const Eigen::VectorXd wanted = SolveFree(gram, b, free, ridge);
      double step = 1;
      for (size_t i = 0; i < free.size(); ++i) {
        const double from = x(free[i]), to = wanted(static_cast<Eigen::Index>(i));
        if (to <= 0) step = std::min(step, from > 0 ? from / (from - to) : 0.0);
      }
      Free still;
      for (size_t i = 0; i < free.size(); ++i) {
        double& value = x(free[i]);
        const double to = wanted(static_cast<Eigen::Index>(i));
        value += step * (to - value);
        if (to <= 0 && value <= 1e-14 * std::max(1.0, std::abs(to))) {
          value = 0;
        } else {
          still.push_back(free[i]);
        }
      }
      const bool whole = still.size() == free.size();
      free = std::move(still);
      if (whole) break;
    }
    if (best >= 0 && x(best) == 0) break;  // too like the others to be told apart
  }
  return x;
}

}  // namespace wheatpaste
