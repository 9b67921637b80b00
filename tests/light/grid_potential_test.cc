// grid_potential_test.cc - fields from their differences, against closed forms and a dense solution.
#include "light/grid_potential.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

size_t Count(SizePx size) { return static_cast<size_t>(size.area()); }

GridEdges Edges(SizePx size, float value) {
  return {std::vector<float>(Count(size), value), std::vector<float>(Count(size), value)};
}

TEST_CASE("Grid potential: a field comes back from its steps, up to a constant",
          "[light][closed-form]") {
  const SizePx size{321, 203};
  const auto field = [](int64_t x, int64_t y) {
    return static_cast<float>(std::sin(0.02 * static_cast<double>(x)) +
                              0.01 * static_cast<double>(y) + (x > 150 ? 1 : 0));
  };
  GridEdges step = Edges(size, 0);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const auto i = static_cast<size_t>(y * size.width + x);
      if (x + 1 < size.width) step.right[i] = field(x + 1, y) - field(x, y);
      if (y + 1 < size.height) step.down[i] = field(x, y + 1) - field(x, y);
    }
  }
  GridPotential potential(size);
  potential.SetWeights(Edges(size, 1), {});
  std::vector<float> u(Count(size));
  // Measured: 6.
  const int taken = potential.Solve(step, {}, 1e-5, 40, u);
  CHECK(taken < 12);
  double worst = 0;
  const double shift = double{u[0]} - double{field(0, 0)};
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const double off = double{u[static_cast<size_t>(y * size.width + x)]} - double{field(x, y)};
      worst = std::max(worst, std::abs(off - shift));
    }
  }
  // Measured: 5e-5, of a range of about 4.
  CHECK(worst < 3e-4);
}

TEST_CASE("Grid potential: weights, holes and anchors as a dense solution has them",
          "[light][twin]") {
  const SizePx size{13, 9};
  std::mt19937 random(7);
  std::uniform_real_distribution<float> uniform(0, 1);
  GridEdges weight = Edges(size, 0), step = Edges(size, 0);
  std::vector<float> anchor(Count(size)), target(Count(size));
  for (size_t i = 0; i < Count(size); ++i) {
    // A fifth of the edges is cut.
    weight.right[i] = uniform(random) < 0.2f ? 0 : uniform(random);
    weight.down[i] = uniform(random) < 0.2f ? 0 : uniform(random);
    step.right[i] = uniform(random) - 0.5f;
    step.down[i] = uniform(random) - 0.5f;
    anchor[i] = uniform(random) < 0.5f ? 0 : 0.3f * uniform(random);
    target[i] = uniform(random);
  }
  const auto n = static_cast<Eigen::Index>(Count(size));
  Eigen::MatrixXd normal = 1e-12 * Eigen::MatrixXd::Identity(n, n);
  Eigen::VectorXd right = Eigen::VectorXd::Zero(n);
  const auto join = [&](Eigen::Index a, Eigen::Index b, double w, double g) {
    normal(a, a) += w, normal(b, b) += w, normal(a, b) -= w, normal(b, a) -= w;
    right[a] -= w * g, right[b] += w * g;
  };
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const int64_t i = y * size.width + x;
      const auto at = static_cast<size_t>(i);
      if (x + 1 < size.width) join(i, i + 1, double{weight.right[at]}, double{step.right[at]});
      if (y + 1 < size.height) {
        join(i, i + size.width, double{weight.down[at]}, double{step.down[at]});
      }
      normal(i, i) += double{anchor[at]};
      right[i] += double{anchor[at]} * double{target[at]};
    }
  }
  const Eigen::VectorXd wanted = normal.ldlt().solve(right);
  GridPotential potential(size);
  potential.SetWeights(weight, anchor);
  std::vector<float> u(Count(size));
  potential.Solve(step, target, 1e-6, 200, u);
  double worst = 0;
  for (Eigen::Index i = 0; i < n; ++i) {
    worst = std::max(worst, std::abs(double{u[static_cast<size_t>(i)]} - wanted[i]));
  }
  CHECK(worst < 1e-3);
}

TEST_CASE("Grid potential: the same bits for any thread count", "[light][invariant]") {
  const SizePx size{150, 190};
  std::mt19937 random(9);
  std::uniform_real_distribution<float> uniform(-1, 1);
  GridEdges step = Edges(size, 0);
  for (size_t i = 0; i < Count(size); ++i) {
    step.right[i] = uniform(random), step.down[i] = uniform(random);
  }
  std::vector<std::vector<float>> results;
  for (const int threads : {1, 2, 3}) {
    const ThreadLimit limit(threads);
    GridPotential potential(size);
    potential.SetWeights(Edges(size, 1), {});
    std::vector<float> u(Count(size));
    potential.Solve(step, {}, 1e-4, 20, u);
    results.push_back(std::move(u));
  }
  CHECK(results[0] == results[1]);
  CHECK(results[0] == results[2]);
}

}  // namespace
}  // namespace wheatpaste
