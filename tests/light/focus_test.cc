#include "light/focus.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <random>

#include "base/parallel.h"
#include "image/read_bitmap.h"
#include "light/base_picture.h"
#include "support.h"

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
          "[light][closed-form]") {
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

TEST_CASE("ResidualBlur: squares add up", "[light][closed-form]") {
  CHECK(ResidualBlur(1.3, 0.5) == Approx(1.2));
  CHECK(ResidualBlur(0.3) == 0);
  CHECK(kPixelFilterSigmaPx == Approx(0.318).margin(5e-4));
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

// Not run by itself: prints what is found in the project's pictures, and times.
TEST_CASE("Focus: report", "[.report]") {
  for (const char* name :
       {"photos/green_staircase.png", "photos/museum_hall.png", "photos/waiting_wall.png",
        "photos/white_facade.png", "rendered/paper_cup/paper_cup.jpg",
        "rendered/seed_carton/seed_carton.jpg"}) {
    const auto bitmap = ReadBitmap({test::SourcePath(std::string("assets-open/") + name), {}, ""});
    REQUIRE(bitmap.ok());
    const BasePicture base = MakeBasePicture(*bitmap, FramePhoto(bitmap->size, bitmap->size));
    const auto focus = EstimateFocus(base.light.view(), WhollySeen(base.size).view(), 0);
    std::printf("%-40s", name);
    if (focus) {
      std::printf(" sigma %.2f spread %.2f points %d from %.2f to %.2f slope %.1e %.1e\n",
                  focus->sigma_px, focus->spread_px, focus->points, focus->least_px, focus->most_px,
                  focus->slope_x, focus->slope_y);
    } else {
      std::printf(" nothing\n");
    }
  }
  const ThreadLimit one(1);
  const SizePx size{4000, 3000};
  const auto light = Stripes(
      size, [](double, double) { return 1.5; }, 0.01, 1);
  const auto seen = WhollySeen(size);
  const auto t0 = std::chrono::steady_clock::now();
  const auto focus = EstimateFocus(light.view(), seen.view(), 0);
  const auto t1 = std::chrono::steady_clock::now();
  std::printf("EstimateFocus 12 MP: %.0f ms (%d)\n",
              std::chrono::duration<double, std::milli>(t1 - t0).count(),
              focus ? focus->points : 0);
}

}  // namespace
}  // namespace wheatpaste
