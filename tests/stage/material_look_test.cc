#include "stage/material_look.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <memory>

#include "stage/worlds.h"

namespace wheatpaste {
namespace {

using namespace test;

// A sheet of 100 x 100 mm in the plane z = 0 under a texture of 2 x 2 px that covers it once: top left 0.1, top right 0.2, bottom left 0.3,
// bottom right 0.4.
World Sheet() {
  World world;
  AddPaper(world, 0.5, 0, 0.8);
  AddQuad(world, 0, {0, 0, 0}, {100, 0, 0}, {0, 100, 0});
  auto colour = std::make_shared<Image<SceneLinear>>(SizePx{2, 2});
  auto roughness = std::make_shared<Image<Coverage>>(SizePx{1, 1});
  for (int c = 0; c < 3; ++c) {
    for (int i = 0; i < 4; ++i) colour->row(c, i / 2)[i % 2] = 0.1f * static_cast<float>(i + 1);
  }
  roughness->row(0, 0)[0] = 0.5f;
  world.materials[0].texture = WorldTexture{colour, nullptr, roughness, {100, 100}, 0, 1};
  return world;
}

// Albedo over the sheet's own 0.5; the first triangle holds x above y, the second y above x.
double ColourAt(const World& world, double x, double y) {
  const bool first = x > y;
  const Eigen::Vector3f shares =
      first ? Eigen::Vector3d(1 - x / 100, (x - y) / 100, y / 100).cast<float>()
            : Eigen::Vector3d(1 - y / 100, x / 100, (y - x) / 100).cast<float>();
  const MaterialLook look(world);
  return double{look.At(world.triangles[first ? 0 : 1], shares, true, false, true).albedo[0]} / 0.5;
}

// Source  world.h: (0, 0) of the picture's bottom left, x right, y up, repeating; turned counter-clockwise.
TEST_CASE("Look: a texture lies upright, repeats, turns", "[stage][closed-form]") {
  World world = Sheet();
  CHECK(ColourAt(world, 25, 75) == Approx(0.1).margin(1e-5));
  CHECK(ColourAt(world, 75, 75) == Approx(0.2).margin(1e-5));
  CHECK(ColourAt(world, 25, 25) == Approx(0.3).margin(1e-5));
  CHECK(ColourAt(world, 75, 25) == Approx(0.4).margin(1e-5));
  // Half way between pixels; at the left edge also between the last column and the first.
  CHECK(ColourAt(world, 50, 25) == Approx(0.35).margin(1e-5));
  CHECK(ColourAt(world, 100, 25) == Approx(0.35).margin(1e-5));
  world.materials[0].texture->tile_mm = {50, 100};
  CHECK(ColourAt(world, 87.5, 25) == Approx(0.4).margin(1e-5));
  CHECK(ColourAt(world, 62.5, 25) == Approx(0.3).margin(1e-5));
  // A quarter turn: what was right is now up.
  world.materials[0].texture->tile_mm = {100, 100};
  world.materials[0].texture->turn_rad = kPi / 2;
  CHECK(ColourAt(world, 75, 25) == Approx(0.3).margin(1e-5));
}

TEST_CASE("Look: roughness is the picture's times the material's", "[stage][closed-form]") {
  const World world = Sheet();
  const MaterialLook look(world);
  CHECK(look.At(world.triangles[0], {0.3f, 0.3f, 0.4f}, true, false, true).alpha == Approx(0.4));
  World smooth = Sheet();
  smooth.materials[0].roughness = 0.1;
  CHECK(MaterialLook(smooth).At(smooth.triangles[0], {0.3f, 0.3f, 0.4f}, true, true, true).alpha ==
        Approx(kSoftAlpha));
}

TEST_CASE("Look: light that has scattered widely sees a texture's means", "[stage][invariant]") {
  World world = Sheet();
  const int64_t side = 4 * kSoftSide;
  auto stripes = std::make_shared<Image<SceneLinear>>(SizePx{side, side});
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < side; ++y) {
      for (int64_t x = 0; x < side; ++x) stripes->row(c, y)[x] = x % 2 == 0 ? 0.2f : 0.8f;
    }
  }
  world.materials[0].texture = WorldTexture{stripes, nullptr, nullptr, {100, 100}, 0, 1};
  const MaterialLook look(world);
  const auto albedo = [&](const Eigen::Vector3f& shares, bool soft) {
    return double{look.At(world.triangles[0], shares, true, soft, true).albedo[1]} / 0.5;
  };
  float least = 1, most = 0;
  for (int i = 0; i < 97; ++i) {
    const float u = static_cast<float>(i) / 97;
    const Eigen::Vector3f shares(1 - u, u / 2, u / 2);
    CHECK(albedo(shares, true) == Approx(0.5).margin(1e-5));
    least = std::min(least, static_cast<float>(albedo(shares, false)));
    most = std::max(most, static_cast<float>(albedo(shares, false)));
  }
  CHECK(least < 0.3f);
  CHECK(most > 0.7f);
}

// Source  world.h: x right, y up, z out; slopes times the strength; a turned texture's x is turned too.
TEST_CASE("Look: bumps lean the normal along the texture's own axes", "[stage][closed-form]") {
  World world = Sheet();
  auto normal = std::make_shared<Image<SceneLinear>>(SizePx{1, 1});
  normal->row(0, 0)[0] = 0.6f;
  normal->row(2, 0)[0] = 0.8f;
  world.materials[0].texture->normal = normal;
  const auto bump = [&](size_t triangle) {
    const auto& corners = world.triangles[triangle].vertices;
    const auto edge = [&](size_t i) {
      return Eigen::Vector3f((world.vertices[static_cast<size_t>(corners[i])] -
                              world.vertices[static_cast<size_t>(corners[0])])
                                 .cast<float>());
    };
    return MaterialLook(world).Bump(world.triangles[triangle], {0.2f, 0.5f, 0.3f}, edge(1), edge(2),
                                    {0, 0, 1});
  };
  for (const size_t triangle : {0u, 1u}) {
    CHECK((bump(triangle) - Eigen::Vector3f(0.6f, 0, 0.8f)).norm() < 1e-5f);
  }
  world.materials[0].texture->turn_rad = kPi / 2;
  CHECK((bump(1) - Eigen::Vector3f(0, 0.6f, 0.8f)).norm() < 1e-5f);
  world.materials[0].texture->normal_strength = 2;
  CHECK(bump(0).y() == Approx(1.2 / std::sqrt(1.2 * 1.2 + 0.8 * 0.8)));
}

}  // namespace
}  // namespace wheatpaste
