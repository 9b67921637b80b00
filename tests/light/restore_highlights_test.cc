#include "light/restore_highlights.h"

#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <functional>

namespace wheatpaste {
namespace {

constexpr SizePx kSize{120, 100};

struct Made {
  Image<SceneLinear> truth{kSize}, clipped{kSize};
  Image<Coverage> seen{kSize};
};
Made Clip(const std::function<double(int band, double x, double y)>& light) {
  Made made;
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      made.seen.row(0, y)[x] = 1;
      for (int c = 0; c < 3; ++c) {
        const auto value = static_cast<float>(
            light(c, static_cast<double>(x) + 0.5, static_cast<double>(y) + 0.5));
        made.truth.row(c, y)[x] = value;
        made.clipped.row(c, y)[x] = std::min(value, 1.0f);
      }
    }
  }
  return made;
}

double Squared(double x, double y) { return (x - 60) * (x - 60) + (y - 50) * (y - 50); }

TEST_CASE("Highlights: what is not clipped keeps its bits", "[light][invariant]") {
  Made made = Clip([](int, double x, double y) { return 0.9 - 1e-4 * Squared(x, y); });
  CHECK(RestoreHighlights(made.clipped.mutable_view(), made.seen.view()) == 0);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      REQUIRE(made.clipped.row(1, y)[x] == made.truth.row(1, y)[x]);
    }
  }
}

// A paraboloid solves laplace(Y) = -c, and its slope on the rim is constant: the model holds exactly.
// Limit   5 % of what was lost at the top (0.6): rims on square pixels, slopes from differences outside of them.
TEST_CASE("Highlights: a round dome is put back", "[light][closed-form]") {
  Made made = Clip([](int, double x, double y) { return 1.6 - 1e-3 * Squared(x, y); });
  const double share = RestoreHighlights(made.clipped.mutable_view(), made.seen.view());
  CHECK(share == Approx(3.14159 * 600 / 12000).epsilon(0.05));
  for (const int64_t x : {45, 52, 60}) {
    CHECK(made.clipped.row(1, 50)[x] == Approx(made.truth.row(1, 50)[x]).margin(0.03));
  }
}

// Orange light: red clips first, then green. Its colour stays where blue still tells the level.
TEST_CASE("Highlights: a clipped band follows the others by the colour beside it",
          "[light][closed-form]") {
  const std::array<double, 3> tint{1.0, 0.8, 0.6};
  Made made = Clip([&](int c, double x, double) {
    return tint[static_cast<size_t>(c)] * (0.7 + 0.6 * x / 120);
  });
  RestoreHighlights(made.clipped.mutable_view(), made.seen.view());
  for (const int64_t x : {70, 90, 110}) {
    for (int c = 0; c < 3; ++c) {
      CHECK(made.clipped.row(c, 50)[x] == Approx(made.truth.row(c, 50)[x]).epsilon(0.02));
    }
  }
}

TEST_CASE("Highlights: an overexposed surface stays within bounds", "[light][invariant]") {
  Made made = Clip([](int, double, double) { return 3.0; });
  CHECK(RestoreHighlights(made.clipped.mutable_view(), made.seen.view()) == 1);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      REQUIRE(made.clipped.row(0, y)[x] >= 1);
      REQUIRE(made.clipped.row(0, y)[x] <= kMostDome);
    }
  }
}

}  // namespace
}  // namespace wheatpaste
