#include "light/gloss.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr SizePx kSize{240, 200};

// A picture made by rule, wholly one surface; an upright cylinder's normals, from limb to limb.
struct Made {
  Image<SceneLinear> light{kSize};
  Image<Coverage> seen{kSize};
  Image<NormalPlanes> normals{kSize};
  Image<SceneLinear> gloss{kSize};
};

double AzimuthAt(int64_t x) {
  const double s = 2 * (static_cast<double>(x) + 0.5) / static_cast<double>(kSize.width) - 1;
  return std::asin(0.98 * s);
}

// diffuse  of each band and pixel; mirrored, the same in all bands.
Made MakeSurface(const std::function<double(int band, int64_t x, int64_t y)>& diffuse,
                 const std::function<double(int64_t x, int64_t y)>& mirrored) {
  Made made;
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      made.seen.row(0, y)[x] = 1;
      made.normals.row(0, y)[x] = static_cast<float>(std::sin(AzimuthAt(x)));
      made.normals.row(2, y)[x] = static_cast<float>(-std::cos(AzimuthAt(x)));
      for (int c = 0; c < 3; ++c) {
        made.gloss.row(c, y)[x] = static_cast<float>(mirrored(x, y));
        made.light.row(c, y)[x] = static_cast<float>(diffuse(c, x, y) + mirrored(x, y));
      }
    }
  }
  return made;
}

// Two lights at the sides and some from the camera, on a cylinder of one colour.
double TwoLights(int band, int64_t x) {
  const double a = AzimuthAt(x);
  const double tint = 1 - 0.05 * band;
  return 0.05 * std::cos(a) + tint * 0.45 * std::max(0.0, std::cos(a + 0.9)) +
         0.25 * std::max(0.0, std::cos(a - 0.5));
}

double Bump(int64_t x, int64_t y, double at_x, double at_y, double sigma_x, double sigma_y) {
  const double u = (static_cast<double>(x) - at_x) / sigma_x,
               v = (static_cast<double>(y) - at_y) / sigma_y;
  return 0.4 * std::exp(-(u * u + v * v) / 2);
}

std::optional<Gloss> SeparateOn(const Made& made, bool round, const Reflectance& substrate) {
  return SeparateGloss(made.light.view(), made.seen.view(), round ? &made.normals : nullptr,
                       substrate);
}

constexpr Reflectance kWhiteGlaze{0.8, 0.79, 0.78};
constexpr Reflectance kKraft{0.42, 0.28, 0.16};

double WorstOff(const Gloss& found, const Made& made) {
  double worst = 0;
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 4; y < kSize.height - 4; ++y) {
      for (int64_t x = 4; x < kSize.width - 4; ++x) {
        worst = std::max(
            worst, std::abs(double{found.mirrored.row(c, y)[x]} - double{made.gloss.row(c, y)[x]}));
      }
    }
  }
  return worst;
}

// Limit   a fortieth of the highlight's height: clamped cosines stand 96 directions apart, the fit's reach is 2 % at best.
TEST_CASE("Gloss: a highlight on a white cylinder is found as it is", "[light][closed-form]") {
  const Made made = MakeSurface([](int c, int64_t x, int64_t) { return TwoLights(c, x); },
                                [](int64_t x, int64_t y) { return Bump(x, y, 130, 90, 7, 60); });
  const auto found = SeparateOn(made, true, kWhiteGlaze);
  REQUIRE(found);
  CHECK(WorstOff(*found, made) < 0.01);
  CHECK(found->share > 0.1);
  CHECK(found->share < 0.35);
}

// Limit   a tenth of the highlight's height, at single pixels of the shadow's edge.
TEST_CASE("Gloss: a highlight goes on through a hard shadow of another light",
          "[light][closed-form][numbers]") {
  const auto in_shadow = [](int64_t x, int64_t y) { return y > 60 + x / 8 && y < 110 + x / 8; };
  const Made made = MakeSurface(
      [&](int c, int64_t x, int64_t y) {
        const double a = AzimuthAt(x);
        const double first = (1 - 0.05 * c) * 0.45 * std::max(0.0, std::cos(a + 0.9));
        return TwoLights(c, x) - (in_shadow(x, y) ? first : 0);
      },
      [](int64_t x, int64_t y) { return Bump(x, y, 130, 90, 7, 80); });
  const auto found = SeparateOn(made, true, kWhiteGlaze);
  REQUIRE(found);
  CHECK(WorstOff(*found, made) < 0.04);
}

TEST_CASE("Gloss: a matt cylinder has none, in light, shade and shadow",
          "[light][closed-form][numbers]") {
  for (const double share : {0.0, 0.3, 0.7}) {
    INFO("shadow over " << share);
    const Made made = MakeSurface(
        [&](int c, int64_t x, int64_t y) {
          const bool shaded = static_cast<double>(y) < share * static_cast<double>(kSize.height);
          return (shaded ? 0.35 : 1.0) * TwoLights(c, x);
        },
        [](int64_t, int64_t) { return 0.0; });
    CHECK(!SeparateOn(made, true, kWhiteGlaze));
  }
}

double Falloff(int64_t x, int64_t y) {
  const double u = static_cast<double>(x) / 240 - 0.3, v = static_cast<double>(y) / 200 - 0.4;
  return 0.5 / (1 + 0.4 * (u * u + v * v));
}

TEST_CASE("Gloss: on a neutral plane a glare is found, a lit part beside a shadow is not",
          "[light][closed-form]") {
  const Made glare = MakeSurface([](int, int64_t x, int64_t y) { return Falloff(x, y); },
                                 [](int64_t x, int64_t y) { return Bump(x, y, 90, 120, 16, 13); });
  const auto found = SeparateOn(glare, false, kWhiteGlaze);
  REQUIRE(found);
  CHECK(WorstOff(*found, glare) < 0.02);

  for (const int64_t edge : {60, 120, 190}) {
    INFO("lit from x = " << edge);
    const Made lit = MakeSurface(
        [&](int, int64_t x, int64_t y) { return (x < edge ? 0.4 : 1.0) * Falloff(x, y); },
        [](int64_t, int64_t) { return 0.0; });
    CHECK(!SeparateOn(lit, false, kWhiteGlaze));
  }
}

// A plane's chart gives its normals, all one.
TEST_CASE("Gloss: a plane's normals tell no more than none", "[light][invariant]") {
  Made made = MakeSurface([](int, int64_t x, int64_t y) { return Falloff(x, y); },
                          [](int64_t x, int64_t y) { return Bump(x, y, 90, 120, 16, 13); });
  for (int64_t y = 0; y < kSize.height; ++y) {
    std::fill_n(made.normals.row(0, y), kSize.width, 0.0f);
    std::fill_n(made.normals.row(2, y), kSize.width, -1.0f);
  }
  const auto with = SeparateOn(made, true, kWhiteGlaze),
             without = SeparateOn(made, false, kWhiteGlaze);
  REQUIRE(with);
  REQUIRE(without);
  CHECK(with->share == without->share);
  for (int64_t y = 0; y < kSize.height; ++y) {
    for (int64_t x = 0; x < kSize.width; ++x) {
      REQUIRE(with->mirrored.row(1, y)[x] == without->mirrored.row(1, y)[x]);
    }
  }
}

TEST_CASE("Gloss: on kraft the light's colour tells glare from a patch of sun",
          "[light][closed-form]") {
  const std::array<double, 3> albedo{kKraft.r, kKraft.g, kKraft.b};
  const auto board = [&](int c, double level) { return level * albedo[static_cast<size_t>(c)]; };
  const Made glare =
      MakeSurface([&](int c, int64_t x, int64_t y) { return board(c, Falloff(x, y)); },
                  [](int64_t x, int64_t y) { return Bump(x, y, 90, 120, 16, 13); });
  const auto found = SeparateOn(glare, false, kKraft);
  REQUIRE(found);
  CHECK(WorstOff(*found, glare) < 0.02);

  // As large, as smooth, but of the board's own colour: a spot of light.
  const Made spot = MakeSurface(
      [&](int c, int64_t x, int64_t y) {
        return board(c, Falloff(x, y) * (1 + 2 * Bump(x, y, 90, 120, 16, 13)));
      },
      [](int64_t, int64_t) { return 0.0; });
  CHECK(!SeparateOn(spot, false, kKraft));
}

TEST_CASE("Gloss: nothing is made of a surface too small to tell", "[light][invariant]") {
  const Image<SceneLinear> light(SizePx{9, 9});
  const Image<Coverage> seen(SizePx{9, 9});
  CHECK(!SeparateGloss(light.view(), seen.view(), nullptr, kWhiteGlaze));
}

}  // namespace
}  // namespace wheatpaste
