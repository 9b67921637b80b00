#include "light/nonnegative_fit.h"

#include <catch2/catch.hpp>

#include <random>

#include <Eigen/Core>

namespace wheatpaste {
namespace {

Eigen::VectorXd Fit(const Eigen::MatrixXd& a, const Eigen::VectorXd& y) {
  return FitNonnegative(a.transpose() * a, a.transpose() * y, {});
}

TEST_CASE("FitNonnegative: without a bound met it is least squares", "[light][closed-form]") {
  Eigen::MatrixXd a(3, 2);
  a << 1, 0, 1, 1, 1, 2;
  const Eigen::VectorXd x = Fit(a, Eigen::Vector3d(1, 3, 5));
  CHECK(x(0) == Approx(1));
  CHECK(x(1) == Approx(2));
}

// y = (1, -1) over unit columns: the second is held at 0.
TEST_CASE("FitNonnegative: what would be negative is 0", "[light][closed-form]") {
  const Eigen::VectorXd x = Fit(Eigen::MatrixXd::Identity(2, 2), Eigen::Vector2d(1, -1));
  CHECK(x(0) == Approx(1));
  CHECK(x(1) == 0);
}

// Karush, Kuhn, Tucker: x >= 0, the gradient b - G x is 0 where x > 0 and at most 0 elsewhere.
TEST_CASE("FitNonnegative: the answer meets the conditions of optimality", "[light][invariant]") {
  std::mt19937 random(4);
  std::normal_distribution<double> value(0, 1);
  for (int trial = 0; trial < 20; ++trial) {
    Eigen::MatrixXd a(60, 25);
    Eigen::VectorXd y(60);
    for (Eigen::Index i = 0; i < a.size(); ++i) a(i) = value(random);
    for (Eigen::Index i = 0; i < y.size(); ++i) y(i) = value(random);
    const Eigen::MatrixXd gram = a.transpose() * a;
    const Eigen::VectorXd b = a.transpose() * y;
    Eigen::VectorXd start = Eigen::VectorXd::Zero(25);
    if (trial % 2 == 1) start.setConstant(0.1);
    const Eigen::VectorXd x = FitNonnegative(gram, b, start), gradient = b - gram * x;
    for (Eigen::Index i = 0; i < x.size(); ++i) {
      CHECK(x(i) >= 0);
      CHECK(gradient(i) <= 1e-6);
      if (x(i) > 0) CHECK(std::abs(gradient(i)) <= 1e-6);
    }
  }
}

}  // namespace
}  // namespace wheatpaste
