#include "stage/texels.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <random>

namespace wheatpaste {
namespace {

Image<SceneLinear> Noise(SizePx size) {
  Image<SceneLinear> picture(size);
  std::mt19937 random(7);
  std::uniform_real_distribution<float> even(0, 1);
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < size.height; ++y) {
      for (int64_t x = 0; x < size.width; ++x) picture.row(c, y)[x] = even(random);
    }
  }
  return picture;
}

Eigen::Array3f PixelOf(const Image<SceneLinear>& picture, int64_t x, int64_t y) {
  return {picture.row(0, y)[x], picture.row(1, y)[x], picture.row(2, y)[x]};
}

}  // namespace

TEST_CASE("Texels: a pixel's own place shows it, in every period", "[stage][closed-form]") {
  const SizePx size{7, 5};
  const Image<SceneLinear> picture = Noise(size);
  const Texels<4> texels(picture);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      for (const float period : {-3.0f, 0.0f, 2.0f}) {
        const Eigen::Vector2f at(period + (static_cast<float>(x) + 0.5f) / 7,
                                 period + 1 - (static_cast<float>(y) + 0.5f) / 5);
        const Eigen::Array3f seen = texels.Repeating(at).head<3>();
        // Limit: single precision of three periods, in px.
        CHECK((seen - PixelOf(picture, x, y)).abs().maxCoeff() < 1e-5f);
      }
      const Eigen::Vector2f px(static_cast<float>(x) + 0.5f, static_cast<float>(y) + 0.5f);
      CHECK((texels.Clamped(px).head<3>() - PixelOf(picture, x, y)).abs().maxCoeff() == 0);
    }
  }
  // Half way over the edge: the mean of the last column and the first; an edge that runs on.
  const Eigen::Array3f over = texels.Repeating({1, 1 - 0.5f / 5}).head<3>();
  const Eigen::Array3f mean = (PixelOf(picture, 6, 0) + PixelOf(picture, 0, 0)) / 2;
  CHECK((over - mean).abs().maxCoeff() < 1e-6f);
  CHECK((texels.Clamped({-50, -50}).head<3>() - PixelOf(picture, 0, 0)).abs().maxCoeff() == 0);
  CHECK((texels.Clamped({50, 50}).head<3>() - PixelOf(picture, 6, 4)).abs().maxCoeff() == 0);
}

TEST_CASE("Texels: places beyond all measure show some pixel", "[stage][bad-input]") {
  const Image<SceneLinear> picture = Noise({4, 4});
  const Texels<4> texels(picture);
  for (const float far : {1e9f, -1e9f, 4e9f, -4e9f, 1e30f, -1e30f}) {
    const Eigen::Array4f seen = texels.Repeating({far, far});
    CHECK((seen >= 0).all());
    CHECK((seen <= 1).all());
  }
}

TEST_CASE("Texels: reduced, a block shows its mean and the whole keeps it",
          "[stage][closed-form]") {
  const Image<SceneLinear> picture = Noise({48, 24});
  // Halved while even and no side below 5: 24 x 12, then 12 x 6.
  const Texels<4> reduced = Texels<4>(picture).Reduced(5);
  for (int64_t y = 0; y < 6; ++y) {
    for (int64_t x = 0; x < 12; ++x) {
      Eigen::Array3f mean = Eigen::Array3f::Zero();
      for (int64_t j = 0; j < 4; ++j) {
        for (int64_t i = 0; i < 4; ++i) mean += PixelOf(picture, 4 * x + i, 4 * y + j) / 16;
      }
      const Eigen::Vector2f px(static_cast<float>(x) + 0.5f, static_cast<float>(y) + 0.5f);
      CHECK((reduced.Clamped(px).head<3>() - mean).abs().maxCoeff() < 1e-6f);
    }
  }
  // An odd side is left as it is.
  const Image<SceneLinear> odd = Noise({48, 25});
  const Eigen::Vector2f last(47.5f, 24.5f);
  CHECK(
      (Texels<4>(odd).Reduced(5).Clamped(last).head<3>() - PixelOf(odd, 47, 24)).abs().maxCoeff() ==
      0);
}

}  // namespace wheatpaste
