// The noise filter on sums whose light is known: E with a shadow's edge over textures, a step in depth, gloss; samples drawn around it.
#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <random>

#include "base/parallel.h"
#include "stage/denoise.h"
#include "stage/noise_level.h"

namespace wheatpaste {
namespace {

constexpr SizePx kSize{64, 48};
constexpr int kSamples = 64;

struct Point {
  float lit = 0, mirrored = 0, albedo = 0.8f, depth = 1000;
  Eigen::Vector3f normal{0, 0, 1};
};
using Picture = std::function<Point(int64_t x, int64_t y)>;

// A sample is mean times a Gamma variable of mean 1 and variance `noise`^2: never negative, as light.
TraceSums SumsOf(const Picture& picture, double noise, uint32_t seed = 1, int samples = kSamples) {
  TraceSums sums;
  sums.samples = samples;
  for (auto* image : {&sums.diffuse, &sums.mirrored, &sums.albedo, &sums.diffuse_squared,
                      &sums.mirrored_squared, &sums.normal}) {
    *image = Image<SceneLinear>(kSize);
  }
  sums.depth = Image<Coverage>(kSize);
  sums.depth_squared = Image<Coverage>(kSize);
  std::mt19937 random(seed);
  std::gamma_distribution<float> gamma(noise > 0 ? static_cast<float>(1 / (noise * noise)) : 1.0f,
                                       static_cast<float>(noise * noise));
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      const Point point = picture(x, y);
      for (int i = 0; i < samples; ++i) {
        const float lit = noise > 0 ? gamma(random) : 1, mirrored = noise > 0 ? gamma(random) : 1;
        for (int c = 0; c < 3; ++c) {
          const float d = point.albedo * point.lit * lit, m = point.mirrored * mirrored;
          sums.diffuse.row(c, y)[x] += d;
          sums.diffuse_squared.row(c, y)[x] += d * d;
          sums.mirrored.row(c, y)[x] += m;
          sums.mirrored_squared.row(c, y)[x] += m * m;
          sums.albedo.row(c, y)[x] += point.albedo;
          sums.normal.row(c, y)[x] += point.normal[c];
        }
        sums.depth.row(0, y)[x] += point.depth;
        sums.depth_squared.row(0, y)[x] += point.depth * point.depth;
      }
    }
  }
  return sums;
}

// Root mean square of E's error over E, where the albedo is not 0.
double ErrorOf(const TracedLight& light, const Picture& picture) {
  double sum = 0;
  int count = 0;
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      const Point point = picture(x, y);
      if (point.albedo == 0) continue;
      const double e = double(light.diffuse.row(0, y)[x]) / double(point.albedo * point.lit) - 1;
      sum += e * e;
      ++count;
    }
  }
  return std::sqrt(sum / count);
}

// Mean of E over rows, of one column.
double ColumnOf(const TracedLight& light, int64_t x) {
  double sum = 0;
  for (int64_t y = 0; y < kSize.height; ++y) {
    sum += double(light.diffuse.row(0, y)[x] / light.albedo.row(0, y)[x]);
  }
  return sum / double(kSize.height);
}

// A print of strong contrast, in light that fades, with a shadow from column 32 on.
Point Printed(int64_t x, int64_t y) {
  Point point;
  point.albedo = (x / 3 + y / 5) % 2 ? 0.85f : 0.04f;
  point.lit = (x < 32 ? 1.0f : 0.5f) * (1 - 0.004f * static_cast<float>(y));
  point.mirrored = 0.05f;
  return point;
}

}  // namespace

// 100 pixels that agree take noise to a tenth; the window holds 441, the shadow's edge and chance in the weights leave it less.
TEST_CASE("Noise filter: a fifth of the noise is left, over a print and beside a shadow",
          "[stage][closed-form]") {
  const TraceSums sums = SumsOf(Printed, 1);
  const double before = ErrorOf(Averages(sums), Printed), after = ErrorOf(Denoise(sums), Printed);
  CHECK(before == Approx(1.0 / 8).epsilon(0.05));  // 1 / sqrt(64)
  CHECK(after < 0.2 * before);
}

TEST_CASE("Noise filter: a shadow's edge stays where it is, and as dark", "[stage][closed-form]") {
  // Means over 48 rows and 4 seeds: what is left of the noise is below 0.002.
  double lit = 0, dark = 0;
  for (uint32_t seed = 1; seed <= 4; ++seed) {
    const TracedLight light = Denoise(SumsOf(Printed, 1, seed));
    lit += ColumnOf(light, 31) / 4;
    dark += ColumnOf(light, 32) / 4;
  }
  const double fade = 1 - 0.004 * 23.5;
  CHECK(lit == Approx(fade).epsilon(0.01));
  CHECK(dark == Approx(0.5 * fade).epsilon(0.015));
}

TEST_CASE("Noise filter: without noise the picture is left alone", "[stage][closed-form]") {
  const TraceSums sums = SumsOf(Printed, 0);
  CHECK(ErrorOf(Denoise(sums), Printed) < 1e-3);  // kLeast, and floats
}

TEST_CASE("Noise filter: steps in depth and normal keep light apart that its noise would hide",
          "[stage][closed-form]") {
  // 4 % of difference, under noise of 12.5 % a pixel.
  const auto step = [](bool depth, bool normal) {
    return [=](int64_t x, int64_t) {
      Point point;
      point.lit = x < 32 ? 1.0f : 1.04f;
      if (depth && x >= 32) point.depth = 1040;
      if (normal && x >= 32) point.normal = {0.6f, 0, 0.8f};
      return point;
    };
  };
  // What is left of the noise leaves each seed's contrast 0.009 (standard deviation, measured over 24), so the mean of 12 0.0026.
  const auto contrast = [](const Picture& picture) {
    double sum = 0;
    for (uint32_t seed = 1; seed <= 12; ++seed) {
      const TracedLight light = Denoise(SumsOf(picture, 1, seed));
      sum += (ColumnOf(light, 33) - ColumnOf(light, 30)) / 12;
    }
    return sum;
  };
  CHECK(contrast(step(false, false)) < 0.02);  // the filter could not know
  CHECK(contrast(step(true, false)) == Approx(0.04).margin(0.01));
  CHECK(contrast(step(false, true)) == Approx(0.04).margin(0.01));
}

TEST_CASE("Noise filter: a plane that leans is one plane", "[stage][closed-form]") {
  const auto floor = [](int64_t, int64_t y) {
    Point point;
    point.lit = 1;
    point.depth = 1000 + 20.0f * static_cast<float>(y);
    return point;
  };
  const TraceSums sums = SumsOf(floor, 1);
  CHECK(ErrorOf(Denoise(sums), floor) < 0.15 * ErrorOf(Averages(sums), floor));
}

TEST_CASE("Noise filter: fireflies go, what all samples see stays", "[stage][closed-form]") {
  const auto even = [](int64_t, int64_t) {
    Point point;
    point.lit = 1;
    point.mirrored = 0.1f;
    return point;
  };
  TraceSums sums = SumsOf(even, 0.5);
  for (int c = 0; c < 3; ++c) {
    // One sample of 400 at (10, 10); at (40, 20) a glint of 5 in every sample.
    sums.mirrored.row(c, 10)[10] += 400;
    sums.mirrored_squared.row(c, 10)[10] += 400 * 400;
    sums.mirrored.row(c, 20)[40] = 5 * kSamples;
    sums.mirrored_squared.row(c, 20)[40] = 25 * kSamples;
  }
  const TracedLight light = Denoise(sums);
  CHECK(light.mirrored.row(0, 10)[10] == Approx(0.1).margin(0.01));
  CHECK(light.mirrored.row(0, 20)[40] == Approx(5).epsilon(0.01));
  CHECK(light.mirrored.row(0, 20)[42] == Approx(0.1).margin(0.01));
}

TEST_CASE("Noise filter: no light where there is no albedo, of one sample its mean",
          "[stage][invariant]") {
  const auto half = [](int64_t x, int64_t) {
    Point point;
    point.albedo = x < 32 ? 0.0f : 0.5f;
    point.lit = 1;
    return point;
  };
  const TracedLight light = Denoise(SumsOf(half, 1));
  for (int64_t y = 0; y < kSize.height; ++y) CHECK(light.diffuse.row(1, y)[31] == 0);
  CHECK(ErrorOf(light, half) < 0.04);
  const TraceSums one = SumsOf(half, 1, 1, 1);
  CHECK(Denoise(one).diffuse.row(0, 5)[40] == one.diffuse.row(0, 5)[40]);
}

TEST_CASE("Noise filter: samples spread evenly count for their true noise",
          "[stage][closed-form]") {
  // Every sample wanders by 100 %, but their mean errs by a tenth of what chance would make of that.
  TraceSums sums = SumsOf(Printed, 1);
  const TraceSums calm = SumsOf(Printed, 0.1, 2);
  sums.mirrored = calm.mirrored.Copy();
  NoisyLight light = NoisyMean(sums.mirrored, sums.mirrored_squared, kSamples);
  CalibrateNoise(light);
  double mean = 0;
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      mean += double(light.variance.row(0, y)[x]) / double(kSize.area());
    }
  }
  // 0.05 times 0.1 / 8; squares of either sum differ from chance by as much as the bound.
  CHECK(mean == Approx(std::pow(0.05 * 0.1 / 8, 2)).epsilon(0.25));
}

TEST_CASE("Noise filter: the same bits for any number of threads", "[stage][invariant]") {
  const TraceSums sums = SumsOf(Printed, 1);
  const TracedLight all = Denoise(sums);
  const ThreadLimit one(1);
  const TracedLight alone = Denoise(sums);
  bool same = true;
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < kSize.height; ++y) {
      for (int64_t x = 0; x < kSize.width; ++x) {
        same = same && all.diffuse.row(c, y)[x] == alone.diffuse.row(c, y)[x] &&
               all.mirrored.row(c, y)[x] == alone.mirrored.row(c, y)[x];
      }
    }
  }
  CHECK(same);
}

}  // namespace wheatpaste
