#include "stage/light_map.h"

#include <catch2/catch.hpp>

#include <cmath>

#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

// Smooth, with a lamp of a few pixels.
World Lit(double turn = 0) {
  World world;
  SetSky(world, 32, [](const Eigen::Vector3d& d) {
    const double lamp = d.dot(Eigen::Vector3d(0.6, 0.64, -0.48)) > 0.985 ? 60 : 0;
    return Eigen::Vector3d(lamp + 0.4 + 0.3 * d.x(), lamp + 0.5 + 0.2 * d.y(), lamp + 0.4);
  });
  world.light_map->turn_rad = turn;
  return world;
}

// Sum over the sphere by a fine grid.
template <typename Value>
double OverSphere(int rows, const Value& value) {
  double sum = 0;
  for (int j = 0; j < rows; ++j) {
    const double theta = kPi * (j + 0.5) / rows;
    for (int i = 0; i < 2 * rows; ++i) {
      const double turn = kPi * (i + 0.5) / rows;
      sum += std::sin(theta) *
             double{value(Eigen::Vector3d(std::sin(theta) * std::cos(turn), std::cos(theta),
                                          std::sin(theta) * std::sin(turn)))};
    }
  }
  return sum * (kPi / rows) * (kPi / rows);
}

// Limit  2e-3: the grid against edges of pixels.
TEST_CASE("Light map: the density of drawing integrates to 1", "[stage][closed-form]") {
  const World world = Lit(0.7);
  const LightMap map(*world.light_map);
  const double sum =
      OverSphere(640, [&](const Eigen::Vector3d& d) { return map.Look(d.cast<float>()).density; });
  CHECK(sum == Approx(1).margin(2e-3).epsilon(0));
}

// Limits  density: 1e-3 of it; positions within a pixel in single precision, sin theta near the poles. Integral: 0.5 %.
TEST_CASE(
    "Light map: what is drawn has the density and the light that are looked up, and sums to the "
    "integral",
    "[stage][invariant]") {
  const World world = Lit(-2.1);
  const LightMap map(*world.light_map);
  double drawn_sum = 0;
  int beside = 0;
  constexpr uint32_t kCount = 1 << 14;
  for (uint32_t k = 0; k < kCount; ++k) {
    const LightMap::Drawn drawn = map.Draw(Sampler(1, 0, 0, k).At(0));
    REQUIRE(drawn.direction.norm() == Approx(1).margin(1e-5));
    const LightMap::Seen seen = map.Look(drawn.direction);
    // At a pixel's very edge the other pixel may be found.
    beside += std::abs(seen.density / drawn.density - 1) > 1e-3f;
    CHECK((seen.light - drawn.light).abs().maxCoeff() <= 1e-3f * (1 + drawn.light.maxCoeff()));
    drawn_sum += double{drawn.light[0] / drawn.density} / kCount;
  }
  CHECK(beside < 10);
  const double truth =
      OverSphere(640, [&](const Eigen::Vector3d& d) { return map.Light(d.cast<float>())[0]; });
  CHECK(drawn_sum == Approx(truth).epsilon(5e-3));
  double luminance = OverSphere(640, [&](const Eigen::Vector3d& d) {
    const Eigen::Array3f light = map.Light(d.cast<float>());
    return Luminance(light[0], light[1], light[2]);
  });
  CHECK(4 * kPi * double{map.mean()} == Approx(luminance).epsilon(5e-3));
}

// Source  world.h: the middle column lies at -z, turned counter-clockwise as seen from above.
TEST_CASE("Light map: its middle lies ahead and turns to the left", "[stage][closed-form]") {
  World world;
  SetSky(world, 64, [](const Eigen::Vector3d& d) {
    return Eigen::Vector3d(d.dot(Eigen::Vector3d(0, 0, -1)) > 0.9, d.x() > 0.9, d.y() > 0.9);
  });
  const LightMap straight(*world.light_map);
  CHECK(straight.Light({0, 0, -1})[0] == 1);
  CHECK(straight.Light({1, 0, 0})[1] == 1);
  CHECK(straight.Light({0, 1, 0})[2] == 1);
  CHECK(straight.Light({0, 0, 1})[0] == 0);
  world.light_map->turn_rad = kPi / 2;
  const LightMap turned(*world.light_map);
  CHECK(turned.Light({-1, 0, 0})[0] == 1);
  CHECK(turned.Light({0, 0, -1})[1] == 1);
}

}  // namespace
}  // namespace wheatpaste
