#include "image/pyramid.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

namespace wheatpaste {
namespace {

Image<LinearPremul> RandomImage(SizePx size, uint32_t seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<float> value(0, 1);
  Image<LinearPremul> image(size);
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t y = 0; y < size.height; ++y) {
      for (int64_t x = 0; x < size.width; ++x) image.row(plane, y)[x] = value(random);
    }
  }
  return image;
}

// A pixel of level k is the mean over 2^k x 2^k pixels of level 0. Limit: k roundings of a float.
TEST_CASE("Pyramid: a pixel is the mean of its square", "[image][closed-form]") {
  const Image<LinearPremul> base = RandomImage({64, 32}, 1);
  const Pyramid pyramid(base.Copy(), {});
  for (int k = 0; k <= 5; ++k) {
    const int64_t side = int64_t{1} << k;
    const auto level = pyramid.level(k);
    double worst = 0;
    for (int plane = 0; plane < 4; ++plane) {
      for (int64_t y = 0; y < 32 / side; ++y) {
        for (int64_t x = 0; x < 64 / side; ++x) {
          double sum = 0;
          for (int64_t j = 0; j < side; ++j) {
            for (int64_t i = 0; i < side; ++i) {
              sum += double{base.row(plane, y * side + j)[x * side + i]};
            }
          }
          const double mean = sum / static_cast<double>(side * side);
          worst = std::max(worst, std::abs(mean - double{level.at(x, y)[plane]}));
        }
      }
    }
    INFO("level " << k);
    CHECK(worst < 1e-6);
  }
}

// Odd sides: what lies beyond is clear, so ink is neither made nor lost.
TEST_CASE("Pyramid: clear edges keep the amount of ink at every level", "[image][invariant]") {
  const SizePx size{53, 37};
  const Image<LinearPremul> base = RandomImage(size, 2);
  double ink = 0;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) ink += double{base.row(3, y)[x]};
  }
  const Pyramid pyramid(base.Copy(), {});
  for (int k = 1; k < 8; ++k) {
    const auto level = pyramid.level(k);
    double sum = 0;
    for (int64_t y = 0; y < level.size.height; ++y) {
      for (int64_t x = 0; x < level.size.width; ++x) sum += double{level.at(x, y)[3]};
    }
    INFO("level " << k);
    CHECK(sum * std::pow(4, k) == Approx(ink).epsilon(1e-5));
  }
}

TEST_CASE("Pyramid: repeated edges keep a constant constant at every level",
          "[image][closed-form]") {
  const SizePx size{53, 37};
  Image<LinearPremul> base(size);
  for (int plane = 0; plane < 4; ++plane) {
    for (int64_t y = 0; y < size.height; ++y) std::fill_n(base.row(plane, y), size.width, 0.375f);
  }
  const Pyramid pyramid(std::move(base), {true, true, true, true});
  for (int k = 0; k < Pyramid::kLevels; ++k) {
    const auto level = pyramid.level(k);
    bool same = true;
    for (int64_t y = 0; y < level.size.height; ++y) {
      for (int64_t x = 0; x < level.size.width; ++x) same = same && level.at(x, y)[2] == 0.375f;
    }
    INFO("level " << k);
    CHECK(same);
  }
}

TEST_CASE("Pyramid: rows in any order make the levels of the whole image", "[image][invariant]") {
  const SizePx size{53, 37};
  const Image<LinearPremul> image = RandomImage(size, 3);
  PyramidBase base(size);
  for (const auto& [y0, y1] : {std::pair{20, 37}, {0, 1}, {1, 20}}) {
    base.Put(y0, image.view().Part({0, y0, size.width, y1}));
  }
  const Edges edges{true, false, false, true};
  const Pyramid by_rows(std::move(base), edges), at_once(image.Copy(), edges);
  for (int k = 0; k < Pyramid::kLevels; ++k) {
    const auto a = by_rows.level(k), b = at_once.level(k);
    REQUIRE(a.size == b.size);
    INFO("level " << k);
    CHECK(std::equal(a.pixels, a.pixels + 4 * a.size.area(), b.pixels));
  }
}

}  // namespace
}  // namespace wheatpaste
