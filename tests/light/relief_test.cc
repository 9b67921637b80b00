#include "light/relief.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>

#include "light/fit_heights.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;

GridShape Square(int side, double step = 1) { return {{0, 0}, step, side, side}; }

double RelativeRms(const GridValues& found, const GridValues& truth) {
  double off = 0, own = 0;
  for (size_t i = 0; i < truth.size(); ++i) {
    off += (found[i] - truth[i]) * (found[i] - truth[i]);
    own += truth[i] * truth[i];
  }
  return std::sqrt(off / own);
}

// Z = 0.5 cos(2 pi (3 x + 2 y) / 128), slant 50, tilt 20 degrees; Z grows away from the viewer there, so that our heights
// are -Z: I = cos s + p sin s cos t + q sin s sin t, over 1 or sqrt(1 + p^2 + q^2).
struct Pentland {
  explicit Pentland(bool lambertian)
      : shape(Square(128)), heights(shape.count()), shading(heights) {
    const double slant = 50 * kPi / 180, tilt = 20 * kPi / 180;
    a = std::tan(slant) * Eigen::Vector2d(std::cos(tilt), std::sin(tilt));
    for (int y = 0; y < 128; ++y) {
      for (int x = 0; x < 128; ++x) {
        const double phase = 2 * kPi * (3 * x + 2 * y) / 128;
        const double p = -0.5 * 2 * kPi * 3 / 128 * std::sin(phase);
        const double q = -0.5 * 2 * kPi * 2 / 128 * std::sin(phase);
        double light = std::cos(slant) + p * std::sin(slant) * std::cos(tilt) +
                       q * std::sin(slant) * std::sin(tilt);
        if (lambertian) light /= std::sqrt(1 + p * p + q * q);
        heights[shape.at(x, y)] = -0.5 * std::cos(phase);
        shading[shape.at(x, y)] = light / std::cos(slant) - 1;
      }
    }
  }
  GridShape shape;
  GridValues heights, shading;
  Eigen::Vector2d a;
};

}  // namespace

// Source  check D02: computed from the linear model itself, which the transform inverts to rounding.
TEST_CASE("Relief: linear shading gives back its heights exactly", "[light][closed-form]") {
  const Pentland made(false);
  CHECK(RelativeRms(HeightsFromShading(made.shape, made.shading, made.a, {}), made.heights) <
        1e-12);
}

// Source  check D03: the same heights lit as a perfect diffuser; relative error 0.00994 +- 0.0002.
TEST_CASE("Relief: a diffuser's shading gives heights that miss by what is not linear",
          "[light][reference]") {
  const Pentland made(true);
  const double off =
      RelativeRms(HeightsFromShading(made.shape, made.shading, made.a, {}), made.heights);
  CHECK(off == Approx(0.00994).margin(0.0002));
}

TEST_CASE("Relief: waves along the light's contour leave no heights, damped ones a share",
          "[light][closed-form]") {
  const GridShape shape = Square(64, 2);
  GridValues shading(shape.count());
  for (int y = 0; y < 64; ++y) {
    for (int x = 0; x < 64; ++x) shading[shape.at(x, y)] = 0.2 * std::sin(2 * kPi * 4 * y / 64);
  }
  // Light from x, waves along y: no slope along the light makes this.
  for (const double z : HeightsFromShading(shape, shading, {1, 0}, {0.1, 0}))
    CHECK(std::abs(z) < 1e-12);
  // Light from y: s = -a dz/dy, so z = 0.2 / (a k) cos(k y); damping d takes 1 / (1 + d).
  const double k = 2 * kPi * 4 / 128;
  const GridValues found = HeightsFromShading(shape, shading, {0, 0.8}, {0.1, 0});
  for (int y = 0; y < 64; ++y) {
    CHECK(found[shape.at(5, y)] ==
          Approx(0.2 / (0.8 * k) * std::cos(k * 2 * y) / 1.1).margin(1e-12));
  }
}

TEST_CASE("Relief: least squares holds the sides down and bridges what was not seen",
          "[light][closed-form]") {
  // A dome that is 0 along the sides: z = 3 sin^2 sin^2.
  const GridShape shape = Square(61);
  GridValues truth(shape.count()), shading(shape.count());
  const Eigen::Vector2d a(0.7, -0.5);
  std::vector<double> weights(shape.count(), 1.0);
  for (int y = 0; y < 61; ++y) {
    for (int x = 0; x < 61; ++x) {
      const double u = kPi * x / 60, v = kPi * y / 60;
      const size_t k = shape.at(x, y);
      truth[k] = 3 * std::pow(std::sin(u) * std::sin(v), 2);
      const double p = 3 * kPi / 60 * std::sin(2 * u) * std::pow(std::sin(v), 2);
      const double q = 3 * kPi / 60 * std::sin(2 * v) * std::pow(std::sin(u), 2);
      shading[k] = -a.x() * p - a.y() * q;
      if (x > 20 && x < 26 && y > 30 && y < 38) {
        weights[k] = 0;
        shading[k] = 0.9;
      }
    }
  }
  const FixedSides all{true, true, true, true};
  const std::vector<Eigen::Vector2d> everywhere(shape.count(), a);
  // Begun from the truth: 80 steps lead away from it only by what damping takes. From nothing they come near.
  const double from_truth = RelativeRms(
      FitHeights(shape, shading, weights, everywhere, {1e-4, 0}, all, truth, 80), truth);
  const double from_nothing = RelativeRms(FitHeights(shape, shading, weights, everywhere, {1e-2, 0},
                                                     all, GridValues(shape.count(), 0.0), 80),
                                          truth);
  CHECK(from_truth < 0.01);
  CHECK(from_nothing < 0.1);
  const GridValues found =
      FitHeights(shape, shading, weights, everywhere, {1e-2, 0}, all, truth, 80);
  for (int i = 0; i < 61; ++i) {
    CHECK(found[shape.at(i, 0)] == 0);
    CHECK(found[shape.at(60, i)] == 0);
  }
}

TEST_CASE("Flat light: differences put together give the field, of any size",
          "[light][closed-form]") {
  for (const auto& [columns, rows] : {std::pair{16, 12}, {15, 12}, {16, 11}, {13, 9}}) {
    const GridShape shape{{0, 0}, 1, columns, rows};
    std::mt19937 random(7);
    GridValues field(shape.count()), across(shape.count(), 99.0), down(shape.count(), 99.0);
    for (double& f : field) f = static_cast<double>(random() % 1000) / 1000;
    for (int y = 0; y < rows; ++y) {
      for (int x = 0; x < columns; ++x) {
        const size_t k = shape.at(x, y);
        if (x + 1 < columns) across[k] = field[k + 1] - field[k];
        if (y + 1 < rows) down[k] = field[k + static_cast<size_t>(columns)] - field[k];
      }
    }
    const GridValues found = PutTogether(shape, across, down);
    const double off = field[0] - found[0];
    for (size_t k = 0; k < field.size(); ++k)
      CHECK(field[k] - found[k] == Approx(off).margin(1e-12));
  }
}

TEST_CASE("Flat light: a lamp's fall-off of second order is no relief", "[light][closed-form]") {
  FlatLight flat{{{0, 0}, 2, 40, 30}, {}, std::vector<double>(1200, 1.0)};
  for (int y = 0; y < 30; ++y) {
    for (int x = 0; x < 40; ++x) {
      flat.light.push_back(0.4 * std::exp(0.01 * x - 0.02 * y + 1e-4 * x * x - 2e-4 * x * y));
    }
  }
  // What is not seen has no say.
  flat.light[7] = 3;
  flat.weights[7] = 0;
  const LightRatio found = RatioToBase(flat);
  for (size_t k = 0; k < 1200; ++k) {
    if (k != 7) CHECK(found.ratio[k] == Approx(1).margin(1e-6));
  }
  // Per mm in the middle, node (19.5, 14.5), 2 mm a step.
  CHECK(found.brighter.x() == Approx((0.01 + 2e-4 * 19.5 - 2e-4 * 14.5) / 2).margin(1e-6));
  CHECK(found.brighter.y() == Approx((-0.02 - 2e-4 * 19.5) / 2).margin(1e-6));
}

TEST_CASE("Flat light: a hard shadow's edge goes, gentle folds stay", "[light][closed-form]") {
  FlatLight flat{{{0, 0}, 1, 80, 60}, {}, std::vector<double>(4800, 1.0)};
  const auto folds = [](int x, int y) {
    return 0.5 * (1 + 0.2 * std::sin(2 * kPi * (x + 0.3 * y) / 30));
  };
  for (int y = 0; y < 60; ++y) {
    for (int x = 0; x < 80; ++x) flat.light.push_back(folds(x, y) * (x + y > 70 ? 0.45 : 1));
  }
  FlatLight gentle = flat;
  for (int y = 0; y < 60; ++y) {
    for (int x = 0; x < 80; ++x) gentle.light[gentle.shape.at(x, y)] = folds(x, y);
  }
  CHECK_FALSE(RemoveHardEdges(gentle));
  CHECK(RemoveHardEdges(flat));
  // Up to a factor the folds again; along the edge itself the fold's slope is lost for three nodes.
  double sum = 0, sum2 = 0;
  for (int y = 0; y < 60; ++y) {
    for (int x = 0; x < 80; ++x) {
      const double d = std::log(flat.light[flat.shape.at(x, y)] / folds(x, y));
      sum += d;
      sum2 += d * d;
    }
  }
  // A step of ln(1 / 0.45) = 0.8 would leave 0.39.
  CHECK(std::sqrt(sum2 / 4800 - sum / 4800 * sum / 4800) < 0.06);
}

}  // namespace wheatpaste
