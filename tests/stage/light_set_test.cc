// Light on a white diffuser from lights whose irradiance is known in closed form.

#include "stage/light_set.h"

#include <catch2/catch.hpp>

#include "stage/trace_world.h"
#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

// A white square of side 1 mm in the plane z = 0 that fills the picture, seen from z = 10.
World Square(SizePx size) {
  World world;
  AddPaper(world, 1);
  AddQuad(world, 0, {-0.5, -0.5, 0}, {1, 0, 0}, {0, 1, 0});
  world.camera = CameraAt({0, 0, 10}, {0, 0, 0}, size, 10 * double(size.width));
  return world;
}

double Lit(const World& world, int samples) {
  TraceOptions options;
  options.samples = samples;
  options.most_bounces = 1;
  return MeanOf(TraceWorld(world, options).diffuse, samples);
}

// Source  L03 of checks.csv: pi (R / d)^2 cos for a sphere above the horizon, R = 1, d = 3; a sun of that size looks the same.
//         White of albedo 1 shows irradiance over pi.
// Limit   1e-3 of it, 4096 paths. A sun without size gives it exactly.
TEST_CASE("Lights: irradiance of a sphere, straight and aslant", "[stage][closed-form]") {
  for (const double cosine : {1.0, 0.5}) {
    World world = Square({8, 8});
    world.sun = WorldSun{{std::sqrt(1 - cosine * cosine), 0, cosine},
                         std::sqrt(1 - 1.0 / 9),
                         Eigen::Vector3d::Constant(1.0 / 9)};
    const double truth = cosine / 9;
    CHECK(Lit(world, 64) == Approx(truth).epsilon(1e-3));
    world.sun->cos_radius = 1;
    CHECK(Lit(world, 16) == Approx(truth).epsilon(1e-5));
  }
}

// Source  L04: pi R^2 / (R^2 + h^2), R = 1, h = 2; drawn into a light map as a cone around its middle.
// Limit   1 %: the cone's edge in pixels of 0.35 degrees.
TEST_CASE("Lights: irradiance of a disc in the light map", "[stage][closed-form]") {
  World world = Square({8, 8});
  SetSky(world, 512, [](const Eigen::Vector3d& d) {
    return Eigen::Vector3d::Constant(d.z() > 2 / std::sqrt(5.0) ? 1 : 0);
  });
  CHECK(Lit(world, 64) == Approx(0.2).epsilon(1e-2));
}

// Source  L05, L06 (Howell, catalogue of view factors): a point below the corner of a parallel square at the distance of its side; two
//         facing unit squares at distance 1. The camera looks through the light: it hides nothing.
// Limit   3e-3 of it.
TEST_CASE("Lights: form factors of a soft light", "[stage][closed-form]") {
  World world = Square({16, 16});
  world.soft_lights.push_back(
      {{-0.5, 0.5, 1}, {1, 0, 0}, {0, -1, 0}, Eigen::Vector3d::Ones(), false});
  CHECK(Lit(world, 64) == Approx(0.199824896).epsilon(3e-3));
  // The light 1000 times as large and as far: the square is but a point.
  world.soft_lights = {
      {{0, 1000, 1000}, {1000, 0, 0}, {0, -1000, 0}, Eigen::Vector3d::Ones(), false}};
  CHECK(Lit(world, 64) == Approx(0.138531606).epsilon(3e-3));
  // It shines to one side only.
  world.soft_lights[0].up *= -1;
  CHECK(Lit(world, 16) == 0);
}

// Claim  drawing lights and meeting them are two ways to one number: all lights together send the sum of each alone.
// Limit  1 % of 4096 paths' noise.
TEST_CASE("Lights: together they send the sum of each alone", "[stage][invariant]") {
  const World bare = Square({8, 8});
  World all = bare, sky = bare, soft = bare, sun = bare;
  SetSky(sky, 32, [](const Eigen::Vector3d& d) {
    return Eigen::Vector3d::Constant(d.dot(Eigen::Vector3d(0.6, 0, 0.8)) > 0.95 ? 8 : 0.2);
  });
  all.light_map = sky.light_map;
  soft.soft_lights.push_back(
      {{-2, -1, 1.5}, {0, 2, 0}, {1, 0, 1}, Eigen::Vector3d(2, 1, 1), false});
  all.soft_lights = soft.soft_lights;
  sun.sun = WorldSun{{0.6, 0.3, 0.7}, std::cos(0.05), Eigen::Vector3d(0.5, 0.5, 0.4)};
  all.sun = sun.sun;
  const double sum = Lit(sky, 64) + Lit(soft, 64) + Lit(sun, 64);
  CHECK(Lit(all, 256) == Approx(sum).epsilon(1e-2));
}

}  // namespace
}  // namespace wheatpaste
