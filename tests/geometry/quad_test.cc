#include "geometry/quad.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <Eigen/Dense>

namespace wheatpaste {
namespace {

// A rectangle of width / height 1.6 before a camera of f = 1000 px, centre (640, 480).
// Source  Zhang, He, MSR-TR-2003-39, section 3.2, with the corners of Q01-Q04; truth known by making.
const Quad kQuad{{{490, 380}, {780.4576, 444.9413}, {695.972, 608.8086}, {410.8107, 583.6416}}};
const PhotoPx kPrincipal{640, 480};

// Taken   Q01-Q04. Limits as listed: 1e-8, 0.001 px, 1e-6, 0.01 px (corners carry four decimals).
TEST_CASE("Quad: focal length, aspect ratio and vanishing points of the worked example",
          "[geometry][published]") {
  const QuadVectors v = QuadVectorsOf(kQuad);
  CHECK(v.k2 == Approx(1.2294305786).margin(1e-8));
  CHECK(v.k3 == Approx(1.0865470879).margin(1e-8));
  const auto focal = FocalFromQuad(kQuad, kPrincipal);
  REQUIRE(focal);
  CHECK(focal->value == Approx(1000).margin(0.001));
  const auto aspect = AspectFromQuad(kQuad, kPrincipal, focal->value);
  REQUIRE(aspect);
  CHECK(aspect->value == Approx(1.6).margin(1e-6));
  const VanishingPoints points = VanishingPointsOf(kQuad);
  const Eigen::Vector2d across = points.across.hnormalized(), down = points.down.hnormalized();
  CHECK(across.x() == Approx(2046.4510).margin(0.01));
  CHECK(across.y() == Approx(727.9955).margin(0.01));
  CHECK(down.x() == Approx(-504.1744).margin(0.01));
  CHECK(down.y() == Approx(2936.5989).margin(0.01));
}

struct Spread {
  double focal = 0, aspect_with_solved_focal = 0, aspect_with_known_focal = 0;
};

// Standard deviations over 4000 draws of 0.5 px on each coordinate.
Spread DrawNoise() {
  static_assert(kMarkingErrorPx == 0.5);
  std::mt19937 random(4000);
  std::normal_distribution<double> noise(0, kMarkingErrorPx);
  double sum[3] = {}, squares[3] = {};
  int count = 0;
  for (int draw = 0; draw < 4000; ++draw) {
    Quad quad = kQuad;
    for (PhotoPx& corner : quad) {
      corner.x += noise(random);
      corner.y += noise(random);
    }
    const auto focal = FocalFromQuad(quad, kPrincipal);
    REQUIRE(focal);
    const double values[3] = {focal->value, AspectFromQuad(quad, kPrincipal, focal->value)->value,
                              AspectFromQuad(quad, kPrincipal, 1000)->value};
    for (int k = 0; k < 3; ++k) {
      sum[k] += values[k];
      squares[k] += values[k] * values[k];
    }
    ++count;
  }
  const auto sd = [&](int k) {
    const double mean = sum[k] / count;
    return std::sqrt(squares[k] / count - mean * mean);
  };
  return {sd(0), sd(1), sd(2)};
}

// Source  the worked example, computed for it by 4000 draws: sd(f) = 2.9 %, sd(w/h) = 1.1 % with the
//         focal length solved from the same quad.
// Limit   half the last printed digit and the 1.1 % (1 / sqrt(2 * 4000)) that 4000 draws leave open.
TEST_CASE("Quad: noise on the corners spreads the results as published", "[geometry][published]") {
  const Spread spread = DrawNoise();
  CHECK(spread.focal / 1000 == Approx(0.029).margin(0.0005 + 0.011 * 0.029));
  CHECK(spread.aspect_with_solved_focal / 1.6 == Approx(0.011).margin(0.0005 + 0.011 * 0.011));
}

// Limit   5 %: first-order propagation against draws that are not small (f is a square root), plus the
//         1.1 % of the draws themselves.
TEST_CASE("Quad: the stated uncertainty is what draws give", "[geometry][reference]") {
  const Spread spread = DrawNoise();
  CHECK(FocalFromQuad(kQuad, kPrincipal)->sd == Approx(spread.focal).epsilon(0.05));
  CHECK(AspectFromQuad(kQuad, kPrincipal, 1000)->sd ==
        Approx(spread.aspect_with_known_focal).epsilon(0.05));
}

TEST_CASE("Quad: an affine picture tells no focal length but an aspect ratio",
          "[geometry][closed-form]") {
  const Quad flat{{{100, 100}, {420, 100}, {420, 300}, {100, 300}}};
  CHECK_FALSE(FocalFromQuad(flat, {320, 240}));
  const auto aspect = AspectFromQuad(flat, {320, 240}, 800);
  REQUIRE(aspect);
  CHECK(aspect->value == Approx(1.6).margin(1e-12));
}

TEST_CASE("Quad: every fault is found by its kind", "[geometry][closed-form]") {
  const auto fault = [](const Quad& quad) { return FindQuadFault(quad); };
  const PhotoPx a{0, 0}, b{100, 0}, c{100, 80}, d{0, 80};
  CHECK(fault(kQuad) == QuadFault::kNone);
  CHECK(fault({a, b, c, d}) == QuadFault::kNone);
  CHECK(fault({d, c, b, a}) == QuadFault::kMirrored);
  CHECK(fault({a, c, b, d}) == QuadFault::kCrossed);
  CHECK(fault({b, a, c, d}) == QuadFault::kCrossed);
  CHECK(fault({a, b, {20, 20}, d}) == QuadFault::kDented);
  CHECK(fault({a, b, {60, 50}, {48, 45}}) == QuadFault::kNone);
  CHECK(fault({a, b, {50, 40.2}, d}) == QuadFault::kFlat);
  CHECK(fault({a, {50, 0.5}, b, d}) == QuadFault::kFlat);
  CHECK(fault({a, b, c, {1, 1}}) == QuadFault::kCoincident);
  CHECK(fault({a, b, a, d}) == QuadFault::kCoincident);
  // Any corner may come first.
  CHECK(fault({c, d, a, b}) == QuadFault::kNone);
  CHECK(fault({c, b, a, d}) == QuadFault::kMirrored);
  // A dent seen from the other side is still a dent, not a mirror.
  CHECK(fault({d, {20, 20}, b, a}) == QuadFault::kDented);
}

}  // namespace
}  // namespace wheatpaste
