#include "light/shading.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr SizePx kSize{160, 120};

Image<Coverage> WhollySeen(SizePx size) {
  Image<Coverage> seen(size);
  for (int64_t y = 0; y < size.height; ++y) std::fill_n(seen.row(0, y), size.width, 1.0f);
  return seen;
}

// Irradiance with a slope, a warm cast and a hard shadow that covers x >= 90.
double Irradiance(int plane, int64_t x, int64_t y) {
  const double slope = 0.5 + 0.003 * static_cast<double>(x) + 0.001 * static_cast<double>(y);
  const double cast[3] = {1.0, 0.93, 0.82};
  return slope * cast[plane] * (x >= 90 ? 0.35 : 1.0);
}

Image<SceneLinear> Lit(const Reflectance& rs, double texture, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, texture);
  Image<SceneLinear> light(kSize);
  const double r[3] = {rs.r, rs.g, rs.b};
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      const double weave = texture > 0 ? 1 + normal(random) : 1;
      for (int plane = 0; plane < 3; ++plane) {
        light.row(plane, y)[x] = static_cast<float>(Irradiance(plane, x, y) * r[plane] * weave);
      }
    }
  }
  return light;
}

struct Error {
  double mean = 0, largest = 0, shadow_edge = 0;
};

// Relative errors of the irradiance; the shadow's edge apart.
Error Against(const Shading& shading) {
  Error error;
  int64_t count = 0;
  for (int64_t y = 4; y < kSize.height - 4; ++y) {
    for (int64_t x = 4; x < kSize.width - 4; ++x) {
      for (int plane = 0; plane < 3; ++plane) {
        const double want = Irradiance(plane, x, y);
        const double off = std::abs(double{shading.irradiance.row(plane, y)[x]} / want - 1);
        if (std::abs(x - 90) <= 3) {
          error.shadow_edge = std::max(error.shadow_edge, off);
          continue;
        }
        error.mean += off;
        error.largest = std::max(error.largest, off);
        ++count;
      }
    }
  }
  error.mean /= static_cast<double>(count);
  return error;
}

TEST_CASE("SeparateShading: light on an even substrate comes back unchanged, shadow edge included",
          "[light][closed-form]") {
  const Reflectance kraft{0.42, 0.30, 0.20};
  const auto light = Lit(kraft, 0, 1);
  const Shading shading = SeparateShading(light.view(), WhollySeen(kSize).view(), kraft, 5);
  const Error error = Against(shading);
  // A gradient is no texture: its contrast over 5 x 5 px is what is measured, 0.1 % or so.
  CHECK(shading.texture < 0.004);
  CHECK(error.mean < 0.001);
  CHECK(error.largest < 0.005);
  CHECK(error.shadow_edge < 0.005);
}

TEST_CASE("SeparateShading: a substrate's texture goes, shading and shadow stay",
          "[light][closed-form]") {
  const Reflectance canvas{0.7, 0.66, 0.58};
  constexpr double kTexture = 0.05;
  const auto light = Lit(canvas, kTexture, 2);
  const Shading shading = SeparateShading(light.view(), WhollySeen(kSize).view(), canvas, 6);
  // White noise of 0.05: what 5 x 5 means leave of it is sqrt(24 / 25).
  CHECK(shading.texture == Approx(kTexture * std::sqrt(24.0 / 25)).epsilon(0.06));
  const Error error = Against(shading);
  // Untreated, the mean of |noise| is 0.05 sqrt(2 / pi) = 0.040. A quarter of it may stay.
  CHECK(error.mean < 0.010);
  // The shadow's edge keeps its place and height: the mean of each column beside it, freed of noise by
  // 112 rows, is within a twentieth of the step.
  for (int64_t x = 86; x < 94; ++x) {
    double got = 0, want = 0;
    for (int64_t y = 4; y < kSize.height - 4; ++y) {
      got += double{shading.irradiance.row(1, y)[x]};
      want += Irradiance(1, x, y);
    }
    const double step = want / (x >= 90 ? 0.35 : 1.0) * 0.65;
    INFO("column " << x);
    CHECK(std::abs(got - want) < step / 20);
  }
}

TEST_CASE("SeparateShading: on saturated paint the weak bands follow the strong one",
          "[light][closed-form]") {
  const Reflectance green{0.06, 0.50, 0.01};
  Image<SceneLinear> light(kSize);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      const double e = Irradiance(0, x, y);
      light.row(0, y)[x] = static_cast<float>(e * green.r);
      light.row(1, y)[x] = static_cast<float>(e * green.g);
      light.row(2, y)[x] = 0;  // the camera clipped it
    }
  }
  const Shading shading = SeparateShading(light.view(), WhollySeen(kSize).view(), green, 5);
  for (const int64_t x : {20, 60, 120}) {
    const double want = Irradiance(0, x, 60);
    // sum(Rs L) / sum(Rs^2) without blue: 1 - 0.01^2 / (0.06^2 + 0.5^2 + 0.01^2) = 0.9996 of E.
    CHECK(double{shading.irradiance.row(0, 60)[x]} == Approx(want).epsilon(0.003));
    CHECK(double{shading.irradiance.row(2, 60)[x]} == Approx(want).epsilon(0.003));
  }
}

TEST_CASE("SeparateShading: what lies beside the surface does not reach its light",
          "[light][invariant]") {
  const Reflectance paper{0.8, 0.8, 0.78};
  auto light = Lit(paper, 0.03, 3);
  auto seen = WhollySeen(kSize);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < 40; ++x) seen.row(0, y)[x] = 0;
    seen.row(0, y)[40] = 0.5f;  // a mixed pixel
  }
  const Shading clean = SeparateShading(light.view(), seen.view(), paper, 6);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x <= 40; ++x) {
      for (int plane = 0; plane < 3; ++plane) light.row(plane, y)[x] = 25.0f;  // a lamp
    }
  }
  const Shading beside = SeparateShading(light.view(), seen.view(), paper, 6);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 40; x < kSize.width; ++x) {
      REQUIRE(double{beside.irradiance.row(1, y)[x]} ==
              Approx(double{clean.irradiance.row(1, y)[x]}).epsilon(1e-4));
    }
  }
}

TEST_CASE("SeparateShading: the same bits for any thread count", "[light][invariant]") {
  const Reflectance paper{0.8, 0.8, 0.78};
  const auto light = Lit(paper, 0.04, 4);
  const auto run = [&](int threads) {
    const ThreadLimit limit(threads);
    return SeparateShading(light.view(), WhollySeen(kSize).view(), paper, 7);
  };
  const Shading one = run(1), two = run(2);
  for (int plane = 0; plane < 3; ++plane) {
    for (int64_t y = 0; y < kSize.height; ++y) {
      REQUIRE(std::equal(one.irradiance.row(plane, y), one.irradiance.row(plane, y) + kSize.width,
                         two.irradiance.row(plane, y)));
    }
  }
}

}  // namespace
}  // namespace wheatpaste
