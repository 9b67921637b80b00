#include "geometry/plane_pose.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <Eigen/Dense>
#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

constexpr double kFocal = 1100;
const PhotoPx kPrincipal{450, 350};
const std::vector<Eigen::Vector2d> kRectangle{{0, 0}, {420, 0}, {420, 594}, {0, 594}};

struct Truth {
  Eigen::Matrix3d rotation;
  Eigen::Vector3d origin;
  std::vector<PointPair> Pairs() const {
    std::vector<PointPair> pairs;
    for (const Eigen::Vector2d& mm : kRectangle) {
      const Eigen::Vector3d p = rotation * Eigen::Vector3d(mm.x(), mm.y(), 0) + origin;
      pairs.push_back({mm, kFocal * p.head<2>() / p.z() + kPrincipal.vector()});
    }
    return pairs;
  }
};

Truth RandomTruth(std::mt19937& random) {
  std::uniform_real_distribution<double> angle(-0.7, 0.7), aside(-300, 100), away(1000, 3000);
  Truth truth;
  // Drawn one by one: in one expression each compiler would draw in an order of its own.
  const double about_z = angle(random);
  const double about_y = angle(random);
  const double about_x = angle(random);
  truth.rotation = (Eigen::AngleAxisd(about_z, Eigen::Vector3d::UnitZ()) *
                    Eigen::AngleAxisd(about_y, Eigen::Vector3d::UnitY()) *
                    Eigen::AngleAxisd(about_x, Eigen::Vector3d::UnitX()))
                       .toRotationMatrix();
  truth.origin = {aside(random), aside(random), away(random)};
  return truth;
}

TEST_CASE("Plane pose: exact marks leave no residual and give the pose back",
          "[geometry][closed-form]") {
  std::mt19937 random(11);
  for (int trial = 0; trial < 200; ++trial) {
    const Truth truth = RandomTruth(random);
    const auto pairs = truth.Pairs();
    const auto map = FitHomography(pairs);
    REQUIRE(map);
    const auto pose = FitPlanePose(pairs, map->target_from_source, kFocal, kPrincipal);
    REQUIRE(pose);
    CHECK(pose->residual_px < 1e-6);
    CHECK((pose->camera_from_surface - truth.rotation).norm() < 1e-6);
    CHECK((pose->origin_mm - truth.origin).norm() < 1e-3);
  }
}

// Six numbers are fitted to eight, so of an error e on one mark a part remains: least squares leaves the
// part of e that no pose explains. That part, found here by projecting on what small motions of the pose
// can do (numerical derivatives of the camera equation itself).
double RemainingOf(const Truth& truth, const Eigen::Matrix<double, 8, 1>& error) {
  Eigen::Matrix<double, 8, 6> motions;
  constexpr double kStep = 1e-6;
  const auto stacked = [](const Truth& t) {
    Eigen::Matrix<double, 8, 1> all;
    const auto pairs = t.Pairs();
    for (Eigen::Index i = 0; i < 4; ++i)
      all.segment<2>(2 * i) = pairs[static_cast<size_t>(i)].target;
    return all;
  };
  for (Eigen::Index k = 0; k < 6; ++k) {
    Truth plus = truth, minus = truth;
    if (k < 3) {
      const Eigen::Vector3d axis = Eigen::Vector3d::Unit(k);
      plus.rotation = Eigen::AngleAxisd(kStep, axis).toRotationMatrix() * truth.rotation;
      minus.rotation = Eigen::AngleAxisd(-kStep, axis).toRotationMatrix() * truth.rotation;
    } else {
      plus.origin[k - 3] += 1000 * kStep;
      minus.origin[k - 3] -= 1000 * kStep;
    }
    motions.col(k) = (stacked(plus) - stacked(minus)) / (2 * kStep);
  }
  const Eigen::Matrix<double, 8, 1> explained =
      motions * motions.colPivHouseholderQr().solve(error);
  return (error - explained).norm() / 2;  // root mean square over four marks
}

// Limit   2 %: the pose is nearly linear over an error of 0.1 px (over 1 px, weakly fixed poses are not).
TEST_CASE("Plane pose: an error on one corner leaves what no pose explains",
          "[geometry][closed-form]") {
  std::mt19937 random(12);
  int compared = 0;
  for (int trial = 0; trial < 60; ++trial) {
    const Truth truth = RandomTruth(random);
    auto pairs = truth.Pairs();
    const size_t corner = static_cast<size_t>(trial % 4);
    Eigen::Matrix<double, 8, 1> error = Eigen::Matrix<double, 8, 1>::Zero();
    error.segment<2>(2 * static_cast<Eigen::Index>(corner)) = Eigen::Vector2d(0.06, -0.08);
    pairs[corner].target += Eigen::Vector2d(0.06, -0.08);
    const double expected = RemainingOf(truth, error);
    const auto map = FitHomography(pairs);
    REQUIRE(map);
    const auto pose = FitPlanePose(pairs, map->target_from_source, kFocal, kPrincipal);
    REQUIRE(pose);
    CHECK(pose->residual_px <=
          0.05 + 1e-9);  // never more than the error itself, 0.1 px on one of four
    if (expected > 0.002) {
      CHECK(pose->residual_px == Approx(expected).epsilon(0.02).margin(1e-4));
      ++compared;
    }
  }
  CHECK(compared > 20);
}

TEST_CASE("Plane pose: a wrong focal length or size shows", "[geometry][invariant]") {
  std::mt19937 random(13);
  const Truth truth = RandomTruth(random);
  auto pairs = truth.Pairs();
  for (PointPair& pair : pairs) pair.source.x() *= 1.3;
  const auto map = FitHomography(pairs);
  REQUIRE(map);
  const auto pose = FitPlanePose(pairs, map->target_from_source, kFocal, kPrincipal);
  REQUIRE(pose);
  CHECK(pose->residual_px > 2);
  CHECK(pose->largest_px >= pose->residual_px);
  CHECK(pose->largest_index < 4);
}

}  // namespace
}  // namespace wheatpaste
