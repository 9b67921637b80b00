#include "stage/trace_rays.h"

#include <catch2/catch.hpp>

#include <limits>
#include <random>

#include "stage/trace_point.h"
#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr float kInfinity = std::numeric_limits<float>::infinity();

Eigen::Vector3f AnyDirection(std::mt19937& random) {
  std::normal_distribution<float> normal;
  return Eigen::Vector3f(normal(random), normal(random), normal(random)).normalized();
}

// Claim  no ray from inside a closed mesh slips out. The mesh lies off the origin, so its coordinates are rounded.
TEST_CASE("Rays: a million from inside a closed mesh, none slips through", "[stage][invariant]") {
  World world;
  AddPaper(world, 0.5);
  AddSphere(world, 0, {1234.5, -77.7, 901.3}, 333.3, 96, true);
  const TraceRays rays(world);
  std::mt19937 random(4);
  TraceRay group[8];
  TraceHit hits[8];
  int missed = 0;
  for (int k = 0; k < 125000; ++k) {
    for (TraceRay& ray : group) {
      ray = {200 * AnyDirection(random), AnyDirection(random), kInfinity};
    }
    rays.Meet(group, 8, false, hits);
    for (const TraceHit& hit : hits) missed += hit.triangle < 0;
  }
  CHECK(missed == 0);
}

// Claim  a ray that starts where a point says it does meets the triangle that it left never again, and those beside it only
//        where the mesh truly bends there: from a flat floor of many triangles, seen from 1 mm to 3 m, away at any angle, nothing is met.
TEST_CASE("Rays: what leaves a flat floor does not meet it again", "[stage][invariant]") {
  World world;
  AddPaper(world, 0.5);
  const Eigen::Matrix3d turn(Eigen::AngleAxisd(0.7, Eigen::Vector3d(0.3, 0.8, 0.5).normalized()));
  const Eigen::Vector3d up = turn.col(1);
  AddGrid(world, 0, 40, 40, [&](double s, double t) {
    return std::pair<Eigen::Vector3d, Eigen::Vector3d>(
        turn * Eigen::Vector3d(6000 * (s - 0.5), 0, 6000 * (0.5 - t)), up);
  });
  const TraceRays rays(world);
  const MaterialLook look(world);
  std::mt19937 random(8);
  int met = 0, tried = 0;
  for (int k = 0; k < 20000; ++k) {
    Eigen::Vector3f to = AnyDirection(random);
    if (to.dot(up.cast<float>()) > -1e-3f) to = -to;
    const float height = std::pow(10.0f, static_cast<float>(random() % 350) / 100);
    const Eigen::Vector3f spot =
        (turn * Eigen::Vector3d(double(random() % 2000), 0, double(random() % 2000))).cast<float>();
    const TraceRay ray{spot - to * (height / -to.dot(up.cast<float>())), to, kInfinity};
    TraceHit hit;
    rays.Meet(&ray, 1, true, &hit);
    if (hit.triangle < 0) continue;
    const TracePoint point = FindPoint(world, rays, look, hit, to, false, true);
    ++tried;
    Eigen::Vector3f away = AnyDirection(random);
    // Down to 1e-4 rad above the floor.
    away -= away.dot(up.cast<float>()) * up.cast<float>();
    away = (away.normalized() +
            std::pow(10.0f, -static_cast<float>(random() % 400) / 100) * up.cast<float>())
               .normalized();
    const TraceRay again{point.above, away, kInfinity};
    bool blocked;
    rays.Block(&again, 1, &blocked);
    met += blocked;
  }
  CHECK(tried > 15000);
  CHECK(met == 0);
}

}  // namespace
}  // namespace wheatpaste
