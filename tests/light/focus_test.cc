#include "light/focus.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

double Phi(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

Image<Coverage> WhollySeen(SizePx size) {
  Image<Coverage> seen(size);
  for (int64_t y = 0; y < size.height; ++y) std::fill_n(seen.row(0, y), size.width, 1.0f);
  return seen;
}

// Parallel slanted edges, 60 px apart, each blurred in closed form (point samples of the blurred scene). A faint
// texture of 4 %; noise of standard deviation `noise`.
template <typename Sigma>
Image<SceneLinear> Stripes(SizePx size, const Sigma& sigma, double noise, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, 1);
  Image<SceneLinear> light(size);
  const double c = std::cos(0.3), s = std::sin(0.3);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const double px = static_cast<double>(x) + 0.5, py = static_cast<double>(y) + 0.5;
      const double d = px * c + py * s;
      double v = 0.2;
      for (int k = 0; k < 20; ++k)
        v += (k % 2 ? -0.4 : 0.4) * Phi((d - 30 - 60 * k) / sigma(px, py));
      v *= 1 + 0.04 * std::sin(px / 3) * std::sin(py / 4);
      v += noise * normal(random);
      for (int p = 0; p < 3; ++p) light.row(p, y)[x] = static_cast<float>(v);
    }
  }
  return light;
}

// Limit   10 % or 0.1 px, as the project's methods ask between a print's edges and the photograph's.
TEST_CASE("Focus: known blur from 0.4 to 4 px comes back, with noise and texture",
          "[light][closed-form][numbers]") {
  const SizePx size{480, 400};
  const auto seen = WhollySeen(size);
  unsigned seed = 1;
  for (double sigma : {0.4, 0.6, 0.8, 1.2, 1.5, 2.0, 3.0, 4.0}) {
    for (double noise : {0.0, 0.01}) {
      const auto light = Stripes(
          size, [&](double, double) { return sigma; }, noise, seed++);
      const auto focus = EstimateFocus(light.view(), seen.view(), 0);
      INFO("sigma " << sigma << " noise " << noise);
      REQUIRE(focus.has_value());
      INFO("found " << focus->sigma_px << " points " << focus->points << " spread "
                    << focus->spread_px);
      CHECK(std::abs(focus->SigmaAt(240, 200) - sigma) <= std::max(0.1, 0.1 * sigma));
    }
  }
}

TEST_CASE("Focus: blur that grows across the picture is followed", "[light][closed-form]") {
  const SizePx size{640, 480};
  const auto light = Stripes(
      size, [](double, double y) { return 0.8 + y / 300; }, 0.005, 3);
  const auto focus = EstimateFocus(light.view(), WhollySeen(size).view(), 0);
  REQUIRE(focus.has_value());
  for (double y : {60.0, 240.0, 420.0}) {
    INFO("y " << y << " found " << focus->SigmaAt(320, y));
    CHECK(std::abs(focus->SigmaAt(320, y) - (0.8 + y / 300)) <= 0.1 * (0.8 + y / 300));
  }
}

TEST_CASE("Focus: noise without edges says nothing", "[light][invariant]") {
  const SizePx size{400, 300};
  std::mt19937 random(2);
  std::normal_distribution<double> normal(0.5, 0.02);
  Image<SceneLinear> light(size);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      for (int p = 0; p < 3; ++p) light.row(p, y)[x] = static_cast<float>(normal(random));
    }
  }
  CHECK(!EstimateFocus(light.view(), WhollySeen(size).view(), 0).has_value());
  // Edges that are far from the surface do not count.
  const auto stripes = Stripes(
      size, [](double, double) { return 1.0; }, 0, 1);
  Image<Coverage> nowhere(size);
  CHECK(!EstimateFocus(stripes.view(), nowhere.view(), 20).has_value());
}

TEST_CASE("Focus: the same bits for any thread count", "[light][invariant]") {
  const SizePx size{480, 400};
  const auto light = Stripes(
      size, [](double, double) { return 1.5; }, 0.01, 1);
  const auto run = [&](int threads) {
    const ThreadLimit limit(threads);
    return EstimateFocus(light.view(), WhollySeen(size).view(), 0);
  };
  const auto one = run(1), two = run(2);
  REQUIRE(one.has_value());
  REQUIRE(two.has_value());
  CHECK(one->sigma_px == two->sigma_px);
  CHECK(one->x == two->x);
  CHECK(one->spread_px == two->spread_px);
}

// Source  Zhuo, Sim 2011, Pattern Recognition 44(9), 1852-1858: an edge blurred again by sigma0 loses steepness by
//         R = sqrt(1 + sigma0^2 / sigma^2), so sigma = sigma0 / sqrt(R^2 - 1); sigma 1.5, sigma0 1: R = 1.2018504 (N04).
// Model   gradients here are differences of pixels two apart, which soften an edge that lies askew by 0.3 rad by the
//         variance of a box of that width, cos(0.3)^2 2^2 / 12.
// Limit   3 %, the edges carry 4 % of texture.
TEST_CASE("Focus N04: agrees with the loss of steepness when an edge is blurred again",
          "[light][published]") {
  const SizePx size{480, 400};
  const auto blurred = [&](double sigma) {
    return Stripes(
        size, [sigma](double, double) { return sigma; }, 0, 1);
  };
  const auto steepest = [&](const Image<SceneLinear>& light) {
    const float* row = light.row(1, 200);
    float most = 0;
    for (int64_t x = 1; x + 1 < size.width; ++x) {
      most = std::max(most, std::abs(row[x + 1] - row[x - 1]));
    }
    return double{most};
  };
  const auto once = blurred(1.5), twice = blurred(std::sqrt(1.5 * 1.5 + 1));
  const double ratio = steepest(once) / steepest(twice);
  const double box = std::cos(0.3) * std::cos(0.3) / 3;
  const double sigma = std::sqrt(1 / (ratio * ratio - 1) - box);
  CHECK(std::sqrt(1 + 1 / (sigma * sigma)) == Approx(1.2018504).epsilon(0.03));
  const auto focus = EstimateFocus(once.view(), WhollySeen(size).view(), 0);
  REQUIRE(focus);
  CHECK(focus->sigma_px == Approx(sigma).epsilon(0.03));
}

}  // namespace
}  // namespace wheatpaste
