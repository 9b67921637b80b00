#include "geometry/read_obj.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "support.h"

namespace wheatpaste {
namespace {

const Placed<std::string> kPath{"bag.obj", {"bag.toml", 7, 8}, "surface.file"};
const std::string kPlace = "bag.toml:7:8: error: surface.file = \"bag.obj\": ";
// A square of 2 x 2 units whose pattern fills half the uv square in each direction.
const std::string kSquare =
    "v 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 2 0\n"
    "vt 0 0\nvt .5 0\nvt .5 .5\nvt 0 .5\n";

Mesh MustParse(const std::string& text, double mm_per_unit = 1) {
  auto mesh = ParseObj(text, kPath, mm_per_unit);
  if (!mesh) FAIL(FormatErrors(mesh.errors()));
  return *std::move(mesh);
}

std::string ErrorOf(const std::string& text) {
  const auto mesh = ParseObj(text, kPath, 1);
  REQUIRE_FALSE(mesh);
  return FormatError(mesh.errors()[0]);
}

}  // namespace

TEST_CASE("OBJ: axes turn to the camera's, and units to mm", "[geometry][closed-form]") {
  const Mesh mesh =
      MustParse("v 1 2 3\nv 2 2 3\nv 1 3 3\nvt 0 0\nvt 1 0\nvt 0 1\nf 1/1 2/2 3/3\n", 10);
  REQUIRE(mesh.vertices[0] == Eigen::Vector3d(10, -20, -30));
  REQUIRE(mesh.triangles.size() == 1);
}

TEST_CASE("OBJ: the uv square's size is the mesh's own scale", "[geometry][closed-form]") {
  const Mesh mesh = MustParse(kSquare + "f 1/1 2/2 3/3 4/4\n", 10);
  REQUIRE(mesh.triangles.size() == 2);
  // 20 mm per half a square.
  REQUIRE(SizeOfSquare(mesh).x == Approx(40).epsilon(1e-12));
  REQUIRE(SizeOfSquare(mesh).y == Approx(40).epsilon(1e-12));
  REQUIRE(StretchOf(mesh, {40, 40}) < 1e-12);
  // Twice too small along u, right along v: sqrt((1^2 + 0^2) / 2).
  REQUIRE(StretchOf(mesh, {20, 40}) == Approx(std::sqrt(0.5)).epsilon(1e-12));
}

TEST_CASE("OBJ: indices count back, normals, groups and dents are taken", "[geometry][invariant]") {
  const Mesh mesh = MustParse(
      "# five corners, one points inwards\r\no a\r\nmtllib none.mtl\r\nv 0 0 0\r\nv 4 0 0\r\nv 4 4 "
      "0\r\n"
      "v 2 1 0\r\nv 0 4 0\r\nvt 0 0\r\nvt 1 0\r\nvt 1 1\r\nvt .5 .25\r\nvt 0 1\r\nvn 0 0 1\r\n"
      "usemtl m\r\nf -5/-5/1 -4/-4/1 -3/-3/1 -2/-2/1 -1/-1/1\r\n");
  REQUIRE(mesh.triangles.size() == 3);
  double area = 0;
  for (const auto& t : mesh.triangles) {
    const auto v = [&](int i) { return mesh.vertices[static_cast<size_t>(t[i])].head<2>(); };
    const Eigen::Vector2d a = v(1) - v(0), b = v(2) - v(0);
    area += std::abs(a.x() * b.y() - a.y() * b.x()) / 2;
  }
  REQUIRE(area == Approx(16 - 6).epsilon(1e-12));  // the square without the dent's triangle
  REQUIRE(mesh.island_count == 1);
}

TEST_CASE("OBJ: islands hang together by edges in uv", "[geometry][closed-form]") {
  // Two triangles share an edge in space; the second has uv of its own.
  const std::string apart = kSquare + "vt .6 .6\nvt .9 .9\nvt .6 .9\n";
  REQUIRE(MustParse(apart + "f 1/1 2/2 3/3\nf 1/5 3/6 4/7\n").island_count == 2);
  REQUIRE(MustParse(apart + "f 1/1 2/2 3/3\nf 1/1 3/3 4/4\n").island_count == 1);
  // The same uv listed again is the same corner.
  REQUIRE(MustParse(kSquare + "vt 0 0\nvt .5 .5\nf 1/1 2/2 3/3\nf 1/5 3/6 4/4\n").island_count ==
          1);
  REQUIRE(CountMirrored(MustParse(kSquare + "f 1/1 2/2 3/3 4/4\n")) == 0);
  REQUIRE(CountMirrored(MustParse(kSquare + "f 1/2 2/1 3/4 4/3\n")) == 1);
}

TEST_CASE("OBJ: each mistake is told at the scene's key with the file's line",
          "[geometry][bad-input]") {
  REQUIRE(ErrorOf(kSquare) == kPlace + "has no faces; expected a mesh of triangles or polygons");
  REQUIRE(ErrorOf("") == kPlace + "has no faces; expected a mesh of triangles or polygons");
  REQUIRE(ErrorOf("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n") ==
          kPlace + "has no uv (vt lines); expected a mesh with its flat pattern, exported with uv");
  REQUIRE(ErrorOf(kSquare + "f 1 2 3\n") ==
          kPlace + "its line 9: the corner \"1\" has no uv; expected vertex/uv");
  REQUIRE(ErrorOf(kSquare + "f 1/1 2/2 5/3\n") ==
          kPlace +
              "its line 9: the corner \"5/3\" names no vertex; expected 1 to 4, those listed "
              "before it");
  REQUIRE(
      ErrorOf(kSquare + "f 1/1 2/2 3/-5\n") ==
      kPlace +
          "its line 9: the corner \"3/-5\" names no uv; expected 1 to 4, those listed before it");
  REQUIRE(ErrorOf(kSquare + "f 1/1 2/2\n") ==
          kPlace + "its line 9: a face of 2 corners; expected 3 to 256");
  REQUIRE(ErrorOf("v 0 nan 0\n" + kSquare + "f 1/1 2/2 3/3\n") ==
          kPlace + "its line 1: v = nan: expected 3 numbers, none beyond 1e+09");
  REQUIRE(ErrorOf("v 0 inf 0\n" + kSquare + "f 1/1 2/2 3/3\n") ==
          kPlace + "its line 1: v = inf: expected 3 numbers, none beyond 1e+09");
  REQUIRE(ErrorOf("vt 0\n" + kSquare + "f 1/1 2/2 3/3\n") ==
          kPlace + "its line 1: vt = nothing: expected 2 numbers, none beyond 1e+09");
  REQUIRE(ErrorOf("vt 3 .5\n" + kSquare + "f 1/1 2/2 3/3\n") ==
          kPlace +
              "its line 1: uv = 3 0.5: expected a flat pattern within the square 0 to 1, not a "
              "repeated tile");
  REQUIRE(ErrorOf(kSquare + "f 1/1 2/2 3/3\nf 1/1 1/1 2/2\n") ==
          kPlace +
              "1 of its 2 triangles have no area, in space or in uv, the first from its line 10; "
              "expected at most 1 in 100");
}

TEST_CASE("OBJ: a few triangles without area are left out with a warning",
          "[geometry][bad-input]") {
  std::string text = kSquare;
  for (int i = 0; i < 120; ++i) text += "f 1/1 2/2 3/3\n";
  const Mesh mesh = MustParse(text + "f 1/1 1/2 2/3\n");
  REQUIRE(mesh.triangles.size() == 120);
  REQUIRE(mesh.warnings ==
          std::vector<std::string>{"1 of the mesh's 121 triangles have no area, the "
                                   "first from its line 129; they are left out"});
}

TEST_CASE("OBJ: ten million faces are counted and refused before any is kept",
          "[geometry][bad-input]") {
  std::string text = kSquare;
  text.reserve(text.size() + 10'000'000 * 14);
  for (int i = 0; i < 10'000'000; ++i) text += "f 1/1 2/2 3/3\n";
  REQUIRE(ErrorOf(text) == kPlace + "has 10000000 triangles, expected at most 2000000");
}

TEST_CASE("OBJ: the bag and the carton keep true mm", "[geometry][invariant]") {
  // Atlas widths as their README states them.
  for (const auto& [name, width] : {std::pair{"tote", 1200.0}, {"carton", 480.0}}) {
    const auto mesh =
        ReadObj({test::SourcePath(fmt::format("assets-open/meshes/{}.obj", name)), {}, "file"}, 1);
    REQUIRE(mesh);
    CHECK(mesh->warnings.empty());
    CHECK(CountMirrored(*mesh) == 0);
    CHECK(SizeOfSquare(*mesh).x == Approx(width).epsilon(0.01));
    CHECK(SizeOfSquare(*mesh).y == Approx(width).epsilon(0.01));
    CHECK(StretchOf(*mesh, {width, width}) < 0.05);
  }
}

}  // namespace wheatpaste
