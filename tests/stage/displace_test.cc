#include "stage/displace.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/solid_measures.h"
#include "stage/solids.h"

namespace wheatpaste {
namespace {

const Placed<double> kKey{3, {"stage.toml", 7, 1}, "texture.displacement_mm"};

// Waves that repeat over the picture, drawn from its bottom left.
Image<Coverage> Waves(int64_t size) {
  Image<Coverage> image({size, size});
  for (int64_t y = 0; y < size; ++y) {
    for (int64_t x = 0; x < size; ++x) {
      const double u = (static_cast<double>(x) + 0.5) / static_cast<double>(size);
      const double v = 1 - (static_cast<double>(y) + 0.5) / static_cast<double>(size);
      image.row(0, y)[x] = static_cast<float>(0.5 + 0.25 * std::sin(2 * std::numbers::pi * u) +
                                              0.2 * std::cos(4 * std::numbers::pi * v));
    }
  }
  return image;
}

}  // namespace

TEST_CASE("Displace: a wall takes the picture's heights and slopes, its print stays where it was",
          "[stage][closed-form]") {
  constexpr double kTile = 40, kPi = std::numbers::pi;
  const Image<Coverage> image = Waves(64);
  for (const double turn : {0.0, 0.3}) {
    Relief relief{image.view(), {kTile, kTile}, turn, 3, 0};
    const Result<Solid> made = Displace(BuildSolid(WallSolid{{60, 50}}), 0, relief, kKey);
    REQUIRE(made.ok());
    CHECK(CountEdges(*made).twice == 0);
    CHECK(std::abs(CheckSheet(*made, 0).area - 60 * 50) < 1e-6);
    CHECK(CheckSheet(*made, 0).mirrored_area == 0);
    double print = 0, height = 0, normal = 0, longest = 0;
    for (const SolidTriangle& t : made->triangles) {
      for (size_t k = 0; k < 3; ++k) {
        const Eigen::Vector3d& at = made->vertices[static_cast<size_t>(t.vertices[k])];
        print =
            std::max(print, std::hypot(t.sheet[k].x - (at.x() + 30), t.sheet[k].y - (50 - at.y())));
        const Eigen::Vector2d mm = t.texture_mm[k];
        const double u = (std::cos(turn) * mm.x() + std::sin(turn) * mm.y()) / kTile;
        const double v = (std::cos(turn) * mm.y() - std::sin(turn) * mm.x()) / kTile;
        const double z = 3 * (0.5 + 0.25 * std::sin(2 * kPi * u) + 0.2 * std::cos(4 * kPi * v));
        const double du = 3 * 0.25 * 2 * kPi / kTile * std::cos(2 * kPi * u);
        const double dv = -3 * 0.2 * 4 * kPi / kTile * std::sin(4 * kPi * v);
        const Eigen::Vector3d out(-(std::cos(turn) * du - std::sin(turn) * dv),
                                  -(std::sin(turn) * du + std::cos(turn) * dv), 1);
        height = std::max(height, std::abs(at.z() - z));
        normal = std::max(normal, (t.normals[k] - out.normalized()).norm());
        const Eigen::Vector3d& next = made->vertices[static_cast<size_t>(t.vertices[(k + 1) % 3])];
        longest = std::max(longest, (at - next).head<2>().norm());
      }
    }
    // Bilinear between 64 pixels: an eighth of the second differences, 3 mm (0.25 (2 pi / 64)^2 + 0.2 (4 pi / 64)^2) / 8 = 3.8e-3 mm;
    // slopes change by half a pixel's.
    CHECK(height < 3.9e-3);
    CHECK(print < 1e-9);
    CHECK(normal < 0.03);
    CHECK(longest <= kDisplaceTexels * kTile / 64 + 1e-9);
  }
}

TEST_CASE("Displace: closed things stay closed, edges too, and other parts keep still",
          "[stage][invariant]") {
  const Image<Coverage> image = Waves(32);
  BlockSolid block;
  block.size = {30, 20, 10};
  block.edge = 1;
  for (const Solid& solid : {BuildSolid(block), BuildSolid(TubeSolid{60, 80})}) {
    const Result<Solid> made = Displace(solid, 0, {image.view(), {20, 20}, 0, 0.5, 0}, kKey);
    REQUIRE(made.ok());
    CHECK(made->triangles.size() > 2 * solid.triangles.size());
    CHECK(CountEdges(*made).open == 0);
    CHECK(CountEdges(*made).twice == 0);
    CHECK(CheckNormals(*made).off_unit < 1e-9);
    for (int32_t chart = 0; chart < solid.chart_count; ++chart) {
      CHECK(std::abs(CheckSheet(*made, chart).area - CheckSheet(solid, chart).area) < 1e-6);
    }
  }
}

TEST_CASE("Displace: too fine a picture over too large a thing is refused", "[stage][bad-input]") {
  const Image<Coverage> image = Waves(64);
  const Result<Solid> made =
      Displace(BuildSolid(WallSolid{{6000, 3000}}), 0, {image.view(), {40, 40}, 0, 3, 0}, kKey);
  REQUIRE(!made.ok());
  CHECK(
      FormatError(made.errors()[0]) ==
      "stage.toml:7:1: error: texture.displacement_mm = 3: needs more than 4000000 triangles, "
      "each of about 1.2 mm; expected a smaller thing or a larger tile_mm, or a normal picture in "
      "its place");
}

}  // namespace wheatpaste
