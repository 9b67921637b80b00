#include "geometry/conic.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <Eigen/Dense>
#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kFocal = 1200;
const PhotoPx kPrincipal{640, 480};

struct Circle {
  Eigen::Vector3d centre, normal;
  double radius;

  PhotoPx At(double turn, double focal = kFocal) const {
    const Eigen::Vector3d u = normal.unitOrthogonal(), v = normal.cross(u);
    const Eigen::Vector3d p = centre + radius * std::cos(turn) * u + radius * std::sin(turn) * v;
    return {focal * p.x() / p.z() + kPrincipal.x, focal * p.y() / p.z() + kPrincipal.y};
  }
  PicturedCircle<double> Pictured(double focal = kFocal) const {
    PicturedCircle<double> picture{};
    REQUIRE(PictureCircle<double>(centre, normal, radius, focal, picture));
    return picture;
  }
  // The turn at which `value` of the picture is least, by search and golden section.
  template <typename Value>
  double LeastTurn(Value value, double focal = kFocal) const {
    constexpr int kSteps = 720;
    const double step = 2 * kPi / kSteps;
    double best = 0;
    for (int i = 1; i < kSteps; ++i) {
      if (value(At(i * step, focal)) < value(At(best, focal))) best = i * step;
    }
    double low = best - step, high = best + step;
    const double share = (std::sqrt(5.0) - 1) / 2;
    for (int i = 0; i < 80; ++i) {
      const double a = high - share * (high - low), b = low + share * (high - low);
      (value(At(a, focal)) < value(At(b, focal)) ? high : low) =
          value(At(a, focal)) < value(At(b, focal)) ? b : a;
    }
    return (low + high) / 2;
  }
  // Leftmost, lowest, rightmost.
  std::vector<PhotoPx> Extremes(double focal = kFocal) const {
    return {At(LeastTurn([](PhotoPx p) { return p.x; }, focal), focal),
            At(LeastTurn([](PhotoPx p) { return -p.y; }, focal), focal),
            At(LeastTurn([](PhotoPx p) { return -p.x; }, focal), focal)};
  }
};

Circle RandomCircle(std::mt19937& random) {
  std::uniform_real_distribution<double> tilt(-1.3, 1.3), roll(-0.6, 0.6), aside(-150, 150),
      away(250, 900);
  const double about_x = tilt(random);
  const double about_z = roll(random);
  const Eigen::Vector3d normal =
      Eigen::AngleAxisd(about_z, Eigen::Vector3d::UnitZ()) *
      (Eigen::AngleAxisd(about_x, Eigen::Vector3d::UnitX()) * Eigen::Vector3d::UnitY());
  const double x = aside(random);
  const double y = aside(random);
  const double z = away(random);
  return {{x, y, z}, normal, 40};
}

Conic FromAxes(double x, double y, double a, double b, double degrees) {
  const double turn = degrees * kPi / 180, c = std::cos(turn), s = std::sin(turn);
  Eigen::Matrix2d axes;
  axes << a * c, -b * s, a * s, b * c;
  const Eigen::Matrix2d shape = axes * axes.transpose();
  return ConicOf({x, y, shape(0, 0), shape(0, 1), shape(1, 1)}, {0, 0});
}

}  // namespace

// Points of the circle are pictured one by one, with nothing of the formula under test.
TEST_CASE("Conic: a circle's picture holds its points and has its extremes",
          "[geometry][closed-form]") {
  std::mt19937 random(5);
  for (int trial = 0; trial < 100; ++trial) {
    const Circle circle = RandomCircle(random);
    const PicturedCircle<double> p = circle.Pictured();
    const Conic conic = ConicOf(p, kPrincipal);
    for (int i = 0; i < 12; ++i) {
      const PhotoPx at = circle.At(i * kPi / 6);
      const Eigen::Vector3d x(at.x, at.y, 1), gradient = conic.matrix * x;
      CHECK(std::abs(x.dot(gradient)) / (2 * gradient.head<2>().norm()) < 1e-7);
    }
    const auto extremes = circle.Extremes();
    const double left = std::sqrt(p.xx), low = std::sqrt(p.yy);
    const double x = p.x + kPrincipal.x, y = p.y + kPrincipal.y;
    // A search by values finds the place to about the root of the rounding error, 1e-4 px here.
    CHECK(std::abs(x - left - extremes[0].x) < 1e-8);
    CHECK(std::abs(y - p.xy / left - extremes[0].y) < 1e-3);
    CHECK(std::abs(y + low - extremes[1].y) < 1e-8);
    CHECK(std::abs(x + p.xy / low - extremes[1].x) < 1e-3);
    CHECK(std::abs(x + left - extremes[2].x) < 1e-8);
  }
}

TEST_CASE("Conic: a circle seen on edge is pictured as the line between its ends",
          "[geometry][closed-form]") {
  const PicturedCircle<double> p = Circle{{30, 0, 400}, {0, 1, 0}, 40}.Pictured();
  CHECK(p.yy == 0);
  CHECK(p.xy == 0);
  // Tangents from the camera to the circle in its own plane (methods.md section 3, the limb).
  const double middle = std::atan2(30, 400), half = std::asin(40 / std::hypot(30, 400));
  CHECK(std::abs(p.x + std::sqrt(p.xx) - kFocal * std::tan(middle + half)) < 1e-9);
  CHECK(std::abs(p.x - std::sqrt(p.xx) - kFocal * std::tan(middle - half)) < 1e-9);
}

TEST_CASE("Conic: a circle that reaches beside the camera has no picture",
          "[geometry][bad-input]") {
  PicturedCircle<double> p{};
  using Vector = Eigen::Vector3d;
  CHECK_FALSE(PictureCircle<double>(Vector(0, 50, 30), Vector(0, 1, 0), 40, kFocal, p));
  CHECK_FALSE(PictureCircle<double>(Vector(0, 50, -300), Vector(0, 1, 0), 40, kFocal, p));
}

TEST_CASE("Conic: a rim's three extremes, or more points, give its ellipse",
          "[geometry][closed-form]") {
  std::mt19937 random(6);
  for (int trial = 0; trial < 50; ++trial) {
    const Circle circle = RandomCircle(random);
    const PicturedCircle<double> p = circle.Pictured();
    if (p.yy < 25) continue;  // nearly on edge
    auto points = circle.Extremes();
    for (const int extra : {0, 5}) {
      for (int i = 0; i < extra; ++i) points.push_back(circle.At(0.3 + i * 1.1));
      const auto conic = ConicFromRim(points);
      REQUIRE(conic);
      const Eigen::Matrix3d truth = ConicOf(p, kPrincipal).matrix;
      const Eigen::Matrix3d got = conic->matrix * (truth(0, 0) / conic->matrix(0, 0));
      CHECK((got - truth).norm() < 1e-4 * truth.norm());
    }
  }
}

TEST_CASE("Conic: points on a line make no ellipse", "[geometry][bad-input]") {
  CHECK_FALSE(ConicFromRim(std::vector<PhotoPx>{{100, 100}, {200, 100}, {300, 100}}));
}

// Source  reference checks C01 (computed from a truth of f = 1000, principal point (640, 480)).
// Limit   0.01, the check's own. The wrong pair's share is 0.065 there (methods.md section 2).
TEST_CASE("Conic: the focal length of check C01", "[geometry][published]") {
  const auto guesses = FocalsFromParallelCircles(
      FromAxes(660.395874, 538.310218, 80.258215, 22.950116, 7.427444),
      FromAxes(631.020285, 766.109030, 64.978274, 4.593694, 7.783496), {640, 480});
  REQUIRE(guesses.size() == 2);
  CHECK(guesses[0].focal_px == Approx(1000).margin(0.01));
  CHECK(guesses[0].imaginary_share < 1e-5);
  CHECK(guesses[1].imaginary_share == Approx(0.065).margin(0.0005));
}

TEST_CASE("Conic: two coaxial circles give the focal length of any camera",
          "[geometry][closed-form]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> logarithm(std::log(400.0), std::log(5000.0));
  int seen = 0;
  for (int trial = 0; trial < 100; ++trial) {
    Circle top = RandomCircle(random);
    const double focal = std::exp(logarithm(random));
    const Circle bottom{top.centre + 95 * top.normal, top.normal, 28};
    PicturedCircle<double> a{}, b{};
    if (!PictureCircle<double>(top.centre, top.normal, top.radius, focal, a) ||
        !PictureCircle<double>(bottom.centre, bottom.normal, bottom.radius, focal, b)) {
      continue;
    }
    const auto guesses =
        FocalsFromParallelCircles(ConicOf(a, kPrincipal), ConicOf(b, kPrincipal), kPrincipal);
    double best = 1;
    for (const FocalGuess& guess : guesses) {
      best = std::min(best, std::abs(guess.focal_px / focal - 1));
    }
    ++seen;
    CHECK(best < 1e-5);
  }
  CHECK(seen > 80);
}

}  // namespace wheatpaste
