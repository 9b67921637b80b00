#include "geometry/pose.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>

namespace wheatpaste {
namespace {

TEST_CASE("Pose: a quarter turn about the camera's axis", "[geometry][closed-form]") {
  const Pose pose = Pose::FromNumbers({0, 0, std::numbers::pi / 2, 10, 20, 30});
  // x right turns to y down.
  const Eigen::Vector3d p = pose.CameraFromObject({5, 0, 0});
  CHECK((p - Eigen::Vector3d(10, 25, 30)).norm() < 1e-14);
  CHECK((pose.ObjectFromCamera(p) - Eigen::Vector3d(5, 0, 0)).norm() < 1e-14);
}

TEST_CASE("Pose: no turn is the identity", "[geometry][closed-form]") {
  CHECK(Pose::FromNumbers({0, 0, 0, 1, 2, 3}).rotation == Eigen::Matrix3d::Identity());
}

// Rodrigues' formula written out, and the numbers back from it, up to turns of just less than half around, where
// axis and angle are still unique.
TEST_CASE("Pose: six numbers and back", "[geometry][closed-form]") {
  std::mt19937 random(81);
  std::normal_distribution<double> direction(0, 1);
  for (const double angle : {1e-9, 1e-3, 0.5, 2.0, 3.1}) {
    for (int i = 0; i < 50; ++i) {
      Eigen::Vector3d k;
      for (double& part : k) part = direction(random);
      k.normalize();
      const std::array<double, 6> numbers{angle * k.x(), angle * k.y(), angle * k.z(), 7, -8, 900};
      const Pose pose = Pose::FromNumbers(numbers);
      Eigen::Matrix3d cross;
      cross << 0, -k.z(), k.y(), k.z(), 0, -k.x(), -k.y(), k.x(), 0;
      const Eigen::Matrix3d expected = Eigen::Matrix3d::Identity() + std::sin(angle) * cross +
                                       (1 - std::cos(angle)) * cross * cross;
      CHECK((pose.rotation - expected).norm() < 1e-14);
      const auto back = pose.Numbers();
      for (size_t n = 0; n < 6; ++n) CHECK(back[n] == Approx(numbers[n]).margin(1e-12));
    }
  }
}

}  // namespace
}  // namespace wheatpaste
