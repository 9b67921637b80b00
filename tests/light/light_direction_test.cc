#include "light/light_direction.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "light/relief.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;

// Folds z = height cos(k . m), a whole number of them, lit as a perfect diffuser.
struct Folds {
  Folds(double slant_degrees, const Eigen::Vector2d& direction, double height)
      : shape{{0, 0}, 1, 97, 97}, ratio(shape.count()), unit(shape.count()) {
    const Eigen::Vector2d k = 2 * kPi / 24 * direction;
    const double slope = std::tan(slant_degrees * kPi / 180);
    for (int y = 0; y < 97; ++y) {
      for (int x = 0; x < 97; ++x) {
        const double phase = k.dot(Eigen::Vector2d(x, y));
        const Eigen::Vector2d g = -height * std::sin(phase) * k;
        ratio[shape.at(x, y)] = (1 - slope * direction.dot(g)) / std::sqrt(1 + g.squaredNorm());
        unit[shape.at(x, y)] = slope * height * std::cos(phase);
      }
    }
  }
  GridShape shape;
  GridValues ratio, unit;
};

const std::vector<double> kSeen(97 * 97, 1.0);
const std::vector<Eigen::Vector2d> kNoShift(97 * 97, Eigen::Vector2d::Zero());

}  // namespace

TEST_CASE("Light direction: tilt across the folds, from the brighter end, else from above",
          "[light][closed-form]") {
  for (const double degrees : {0.0, 30.0, 90.0, 150.0}) {
    const Eigen::Vector2d across(std::cos(degrees * kPi / 180), std::sin(degrees * kPi / 180));
    const Folds folds(45, across, 1);
    const Eigen::Vector2d above(-0.2, -1), none(0, 0);
    const Eigen::Vector2d found = EstimateTilt(folds.shape, folds.ratio, kSeen, none, above);
    CHECK(std::abs(found.dot(across)) > 0.999);
    CHECK(found.dot(above) > 0);
    // Brighter towards one end by 10 % over the 96 mm: from there, whatever is above.
    for (const double end : {1.0, -1.0}) {
      const Eigen::Vector2d to =
          EstimateTilt(folds.shape, folds.ratio, kSeen, end * across * 0.1 / 96, above);
      CHECK(to.dot(end * across) > 0.999);
    }
  }
}

TEST_CASE("Light direction: slant from the skewness of a diffuser's folds",
          "[light][closed-form]") {
  const Eigen::Vector2d across(1, 0);
  double before = 0;
  for (const double slant : {30.0, 38.0, 45.0, 52.0, 55.0}) {
    const Folds folds(slant, across, 2.5);
    const double found = EstimateSlant(folds.shape, folds.ratio, kSeen, folds.unit, kNoShift);
    const double truth = std::tan(slant * kPi / 180);
    INFO("slant " << slant << ": tan " << found << ", truth " << truth);
    // Slopes up to 0.65: the skewness is large enough to count against what is usual, which draws it to 45.
    CHECK(found > before);
    CHECK(std::abs(std::log(found / truth)) < 0.75 * std::abs(std::log(truth)) + 0.03);
    before = found;
  }
}

TEST_CASE("Light direction: without shading the usual slant", "[light][closed-form]") {
  const GridShape shape{{0, 0}, 1, 97, 97};
  const GridValues even(shape.count(), 1.0), level(shape.count(), 0.0);
  CHECK(EstimateSlant(shape, even, kSeen, level, kNoShift) == Approx(1).margin(0.02));
}

TEST_CASE("Light direction: a lamp and a fill from faces of known normals",
          "[light][closed-form]") {
  const Eigen::Vector3d lamp(-0.3, -0.5, -0.6);
  std::vector<ShadedNormal> samples;
  for (int i = -20; i <= 20; ++i) {
    for (int j = -6; j <= 6; ++j) {
      const Eigen::Vector3d n = Eigen::Vector3d(0.02 * i, 0.06 * j, -1).normalized();
      // One corner of them lies in shadow.
      const bool shadow = i > 17 && j > 3;
      samples.push_back({n, 0.15 + (shadow ? 0 : std::max(0.0, n.dot(lamp)))});
    }
  }
  const auto found = FitLight(samples);
  REQUIRE(found);
  // What is ambient and what comes along the mean normal is hard to tell apart, and makes no difference to slopes: those
  // count what comes from the side against the sum.
  CHECK(found->towards.x() == Approx(lamp.x()).margin(0.01));
  CHECK(found->towards.y() == Approx(lamp.y()).margin(0.01));
  CHECK(found->ambient - found->towards.z() == Approx(0.15 + 0.6).margin(0.01));
  // All one way: nothing to tell.
  for (ShadedNormal& sample : samples) sample.normal = {0, 0, -1};
  CHECK_FALSE(FitLight(samples));
}

TEST_CASE("Light direction: sides by name", "[light][closed-form]") {
  CHECK(SideOf({-1, -1, -1}) == "its upper left");
  CHECK(SideOf({1, 0.1, 0}) == "its right");
  CHECK(SideOf({0, 1, -1}) == "its bottom");
  CHECK(SideOf({0.3, -1, 0}) == "its top");
  CHECK(SideOf({0, 0, 1}) == "straight before it");
}

}  // namespace wheatpaste
