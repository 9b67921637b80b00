#include "ink/apply_ink.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <hwy/targets.h>

namespace wheatpaste {
namespace {

struct Pixels {
  explicit Pixels(size_t n)
      : artwork(4, std::vector<float>(n)),
        seen(n),
        irradiance(3, std::vector<float>(n)),
        light(3, std::vector<float>(n)) {}
  InkRow row() {
    InkRow row;
    row.count = static_cast<int64_t>(seen.size());
    row.alpha = artwork[3].data();
    for (size_t k = 0; k < 3; ++k) {
      row.filter[k] = row.cover[k] = artwork[k].data();
      row.irradiance[k] = irradiance[k].data();
      row.light[k] = light[k].data();
    }
    row.seen = seen.data();
    return row;
  }
  std::vector<std::vector<float>> artwork;
  std::vector<float> seen;
  std::vector<std::vector<float>> irradiance, light;
};

// Premultiplied artwork, light and irradiance up to 1.
Pixels RandomPixels(size_t n, uint32_t seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<float> value(0, 1);
  Pixels pixels(n);
  for (size_t i = 0; i < n; ++i) {
    pixels.artwork[3][i] = value(random);
    pixels.seen[i] = value(random);
    for (size_t k = 0; k < 3; ++k) {
      pixels.artwork[k][i] = pixels.artwork[3][i] * value(random);
      pixels.irradiance[k][i] = value(random);
      pixels.light[k][i] = value(random);
    }
  }
  return pixels;
}

InkWeights InkOf(double opacity, double white = 0.85) {
  Ink ink;
  ink.opacity = opacity;
  ink.white = white;
  return WeightsOf(ink);
}

float LargestDifference(const std::vector<std::vector<float>>& a,
                        const std::vector<std::vector<float>>& b) {
  float largest = 0;
  for (size_t k = 0; k < a.size(); ++k) {
    for (size_t i = 0; i < a[k].size(); ++i) {
      largest = std::max(largest, std::abs(a[k][i] - b[k][i]));
    }
  }
  return largest;
}

// Runs `work` once for each instruction set that this machine offers.
template <typename Work>
void ForEachTarget(const Work& work) {
  for (const int64_t target : hwy::SupportedAndGeneratedTargets()) {
    hwy::SetSupportedTargetsForTest(target);
    INFO("instruction set " << hwy::TargetName(target));
    work();
    hwy::SetSupportedTargetsForTest(0);
  }
}

TEST_CASE("Ink: the fast form agrees with the plain one", "[ink][twin]") {
  ForEachTarget([] {
    for (const double opacity : {0.0, 0.3, 1.0}) {
      for (const size_t n : {size_t{1}, size_t{3}, size_t{8}, size_t{17}, size_t{1000}}) {
        Pixels fast = RandomPixels(n, 5), plain = RandomPixels(n, 5);
        ApplyInk(InkOf(opacity), fast.row());
        ApplyInkPlainly(InkOf(opacity), plain.row());
        INFO("opacity " << opacity << ", " << n << " pixels");
        CHECK(LargestDifference(fast.light, plain.light) <= kApplyInkMaxError);
      }
    }
  });
}

TEST_CASE("Ink: the fast form of films that knock out agrees with the plain one", "[ink][twin]") {
  ForEachTarget([] {
    for (const size_t n : {size_t{3}, size_t{17}, size_t{1000}}) {
      Pixels fast = RandomPixels(n, 5), plain = RandomPixels(n, 5);
      const Pixels own = RandomPixels(n, 6);
      const auto row_of = [&own](Pixels& pixels) {
        InkRow row = pixels.row();
        for (size_t k = 0; k < 3; ++k) {
          row.cover[k] = own.artwork[k].data();
          row.under[k] = own.light[k].data();
          row.gloss[k] = own.artwork[k].data();
        }
        row.texture = own.seen.data();
        row.substrate = 0.6;
        return row;
      };
      const InkWeights weights{1, 1, 0.5, 0.7};
      ApplyInk(weights, row_of(fast));
      ApplyInkPlainly(weights, row_of(plain));
      INFO(n << " pixels");
      CHECK(LargestDifference(fast.light, plain.light) <= kApplyInkMaxError);
    }
  });
}

// D_u is the bare substrate's light: what was printed there before leaves no trace under solid artwork.
TEST_CASE("Ink: knocked out, the print is what it is on bare material", "[ink][closed-form]") {
  const float bare = 0.8f;
  Pixels pixels(1);
  pixels.artwork = {{0.5f}, {0.25f}, {1.0f}, {1.0f}};
  pixels.seen = {1.0f};
  pixels.light = {{0.1f}, {0.2f}, {0.3f}};  // printed earlier
  InkRow row = pixels.row();
  for (const float*& under : row.under) under = &bare;
  ApplyInk(InkOf(0), row);
  CHECK(pixels.light[0][0] == Approx(0.4));
  CHECK(pixels.light[1][0] == Approx(0.2));
  CHECK(pixels.light[2][0] == Approx(0.8));
}

TEST_CASE("Ink: with noise the fast form agrees with the plain one", "[ink][twin]") {
  std::vector<float> variance;
  for (int k = 0; k <= kNoiseSteps + 1; ++k) {
    const double level = static_cast<double>(k) / kNoiseSteps;
    variance.push_back(static_cast<float>(2e-5 + 9e-4 * level * (1.2 - std::sqrt(level))));
  }
  ForEachTarget([&] {
    for (const double opacity : {0.0, 0.3, 1.0}) {
      for (const size_t n : {size_t{3}, size_t{17}, size_t{1000}}) {
        Pixels fast = RandomPixels(n, 5), plain = RandomPixels(n, 5);
        std::mt19937 random(9);
        std::uniform_real_distribution<float> value(-4, 4);
        std::vector<float> noise(n);
        for (float& v : noise) v = value(random);
        InkRow fast_row = fast.row(), plain_row = plain.row();
        for (InkRow* row : {&fast_row, &plain_row}) {
          for (int k = 0; k < 3; ++k) {
            row->noise[k] = noise.data();
            row->noise_variance[k] = variance.data();
          }
        }
        ApplyInk(InkOf(opacity), fast_row);
        ApplyInkPlainly(InkOf(opacity), plain_row);
        INFO("opacity " << opacity << ", " << n << " pixels");
        CHECK(LargestDifference(fast.light, plain.light) <= kApplyInkNoiseMaxError);
        // The noise is there: it is more than what the two forms may differ by.
        Pixels clean = RandomPixels(n, 5);
        ApplyInk(InkOf(opacity), clean.row());
        CHECK(LargestDifference(fast.light, clean.light) > 10 * kApplyInkNoiseMaxError);
      }
    }
  });
}

// var(L') = v(L') where the photo's own noise v(L) comes along by f: opaque ink, f = 0, gets all of it.
TEST_CASE("Ink: the noise that is added is what is missing", "[ink][closed-form]") {
  const std::vector<float> variance(kNoiseSteps + 2, 4e-4f);
  Pixels pixels(1);
  pixels.artwork = {{0.5f}, {0.5f}, {0.5f}, {1.0f}};
  pixels.seen = {1.0f};
  pixels.light = {{0.4f}, {0.4f}, {0.4f}};
  pixels.irradiance = pixels.light;
  const float noise = 1.0f;
  const auto lit = [&](double opacity) {
    Pixels copy = pixels;
    InkRow row = copy.row();
    for (int k = 0; k < 3; ++k) {
      row.noise[k] = &noise;
      row.noise_variance[k] = variance.data();
    }
    ApplyInk(InkOf(opacity, 1), row);
    return copy.light[0][0];
  };
  CHECK(lit(1) == Approx(0.2 + std::sqrt(4e-4)));
  CHECK(lit(0) == Approx(0.2 + std::sqrt(4e-4 * (1 - 0.25))));  // f = F = 0.5
}

TEST_CASE("MissingNoise: variances add up to that of the new level", "[ink][closed-form]") {
  const auto variance = [](double level) { return 0.01 * level + 0.0004; };
  // Transparent ink of F = 0.3 on level 0.6: 0.01 * 0.18 + 0.0004 - 0.09 (0.006 + 0.0004) = 0.001624.
  CHECK(MissingNoise(variance(0.18), variance(0.6), 0.3) ==
        Approx(std::sqrt(0.001624)).epsilon(1e-6));
  CHECK(MissingNoise(variance(0.18), variance(0.6), 0) == Approx(std::sqrt(0.0022)).epsilon(1e-6));
  // Unprinted: all of it came along. Brighter than before by a factor: more than enough did.
  CHECK(MissingNoise(variance(0.6), variance(0.6), 1) == 0);
  CHECK(MissingNoise(variance(0.6), variance(0.3), 2) == 0);
}

TEST_CASE("Ink: nothing is written past the end of the row", "[ink][twin]") {
  ForEachTarget([] {
    Pixels pixels = RandomPixels(21, 6);
    const auto before = pixels.light;
    InkRow row = pixels.row();
    row.count = 13;
    ApplyInk(InkOf(1), row);
    for (size_t k = 0; k < 3; ++k) {
      for (size_t i = 13; i < 21; ++i) CHECK(pixels.light[k][i] == before[k][i]);
    }
  });
}

TEST_CASE("Ink: clear artwork and hidden pixels change nothing, to the bit", "[ink][closed-form]") {
  ForEachTarget([] {
    for (const double opacity : {0.0, 0.4, 1.0}) {
      Pixels clear = RandomPixels(100, 7);
      for (auto& plane : clear.artwork) std::fill(plane.begin(), plane.end(), 0.0f);
      const auto light = clear.light;
      ApplyInk(InkOf(opacity), clear.row());
      CHECK(clear.light == light);

      Pixels hidden = RandomPixels(100, 7);
      std::fill(hidden.seen.begin(), hidden.seen.end(), 0.0f);
      ApplyInk(InkOf(opacity), hidden.row());
      CHECK(hidden.light == light);
    }
  });
}

TEST_CASE("Ink: white transparent artwork over the whole surface changes nothing, to the bit",
          "[ink][closed-form]") {
  ForEachTarget([] {
    Pixels pixels = RandomPixels(100, 8);
    for (auto& plane : pixels.artwork) std::fill(plane.begin(), plane.end(), 1.0f);
    std::fill(pixels.seen.begin(), pixels.seen.end(), 1.0f);
    const auto light = pixels.light;
    ApplyInk(InkOf(0), pixels.row());
    CHECK(pixels.light == light);
  });
}

// Limit   2e-7 of values up to 1: at an edge, 1 - c alpha + c C rounds twice.
TEST_CASE("Ink: white transparent artwork is invisible at its own edges too",
          "[ink][closed-form]") {
  Pixels pixels = RandomPixels(1000, 9);
  for (size_t k = 0; k < 3; ++k) pixels.artwork[k] = pixels.artwork[3];
  const auto light = pixels.light;
  ApplyInk(InkOf(0), pixels.row());
  float worst = 0;
  for (size_t k = 0; k < 3; ++k) {
    for (size_t i = 0; i < 1000; ++i) {
      worst = std::max(worst, std::abs(pixels.light[k][i] - light[k][i]));
    }
  }
  CHECK(worst <= 2e-7f);
}

TEST_CASE("Ink: transparent ink multiplies the light by its colour", "[ink][closed-form]") {
  Pixels pixels = RandomPixels(50, 10);
  std::fill(pixels.seen.begin(), pixels.seen.end(), 1.0f);
  std::fill(pixels.artwork[3].begin(), pixels.artwork[3].end(), 1.0f);
  const auto light = pixels.light;
  ApplyInk(InkOf(0), pixels.row());
  for (size_t k = 0; k < 3; ++k) {
    for (size_t i = 0; i < 50; ++i) {
      CHECK(pixels.light[k][i] == Approx(light[k][i] * pixels.artwork[k][i]).margin(1e-6));
    }
  }
}

TEST_CASE("Ink: opaque ink sends back its own reflectance times the light that falls on it",
          "[ink][closed-form]") {
  // White artwork, E of 0.5: white x E, whatever was under it.
  Pixels pixels = RandomPixels(50, 11);
  for (auto& plane : pixels.artwork) std::fill(plane.begin(), plane.end(), 1.0f);
  for (auto& plane : pixels.irradiance) std::fill(plane.begin(), plane.end(), 0.5f);
  std::fill(pixels.seen.begin(), pixels.seen.end(), 1.0f);
  ApplyInk(InkOf(1, 0.9), pixels.row());
  for (const auto& plane : pixels.light) {
    for (const float value : plane) CHECK(value == Approx(0.45).margin(1e-6));
  }
}

TEST_CASE("Ink: between transparent and opaque the result is linear in opacity",
          "[ink][closed-form]") {
  Pixels none = RandomPixels(200, 12), half = RandomPixels(200, 12), full = RandomPixels(200, 12);
  ApplyInk(InkOf(0), none.row());
  ApplyInk(InkOf(0.25), half.row());
  ApplyInk(InkOf(1), full.row());
  for (size_t k = 0; k < 3; ++k) {
    for (size_t i = 0; i < 200; ++i) {
      CHECK(half.light[k][i] ==
            Approx(0.75 * none.light[k][i] + 0.25 * full.light[k][i]).margin(1e-6));
    }
  }
}

}  // namespace
}  // namespace wheatpaste
