#include <catch2/catch.hpp>

#include "stage/make_solid.h"
#include "stage/solid_measures.h"
#include "support.h"

namespace wheatpaste {
namespace {

Result<Solid> MeshOf(const std::string& text, double mm_per_unit) {
  test::TempFolder folder;
  test::WriteText(folder / "thing.obj", text);
  StageObject object;
  MeshSolid mesh;
  mesh.file = {folder / "thing.obj", {"stage.toml", 4, 1}, "file"};
  mesh.mm_per_unit = mm_per_unit;
  object.solid = mesh;
  return MakeSolid(object);
}

// A strip of two squares at a right angle, the second one mirrored on the uv where told.
std::string AngleText(bool mirrored) {
  return std::string(
             "v 0 0 0\nv 1 0 0\nv 1 2 0\nv 0 2 0\nv 1 0 -2\nv 1 2 -2\n"
             "vt 0 0\nvt 0.25 0\nvt 0.25 0.5\nvt 0 0.5\n"
             "vt 0.5 0\nvt 1 0\nvt 1 0.5\nvt 0.5 0.5\n"
             "f 1/1 2/2 3/3 4/4\n") +
         (mirrored ? "f 2/6 5/5 6/8 3/7\n" : "f 2/5 5/6 6/7 3/8\n");
}

}  // namespace

TEST_CASE("Mesh: OBJ axes, mm of its flat pattern, a sharp edge stays sharp",
          "[stage][closed-form]") {
  const Result<Solid> made = MeshOf(AngleText(false), 10);
  REQUIRE(made.ok());
  CHECK(made->chart_count == 2);
  REQUIRE(made->faces.size() == 1);
  // The square of uv: 40 mm wide, 40 mm high, by the mesh itself.
  CHECK(std::abs(made->faces[0].high.x - 40) < 1e-9);
  CHECK(std::abs(made->faces[0].high.y - 40) < 1e-9);
  CHECK(CheckNormals(*made).behind == 0);
  CHECK(ChartsApart(*made));
  for (const SolidTriangle& t : made->triangles) {
    const Eigen::Vector3d out = t.chart == 0 ? Eigen::Vector3d(0, 0, 1) : Eigen::Vector3d(1, 0, 0);
    for (size_t k = 0; k < 3; ++k) {
      CHECK((t.normals[k] - out).norm() < 1e-12);
      const Eigen::Vector3d& at = made->vertices[static_cast<size_t>(t.vertices[k])];
      if (t.chart != 0) continue;
      CHECK(std::hypot(t.sheet[k].x - at.x(), t.sheet[k].y - (40 - at.y())) < 1e-9);
    }
  }
}

TEST_CASE("Mesh: what is mirrored in its flat pattern is not printed on", "[stage][invariant]") {
  const Result<Solid> made = MeshOf(AngleText(true), 10);
  REQUIRE(made.ok());
  CHECK(made->chart_count == 1);
  CHECK(CheckSheet(*made, 0).mirrored_area == 0);
  REQUIRE(made->warnings.size() == 1);
  CHECK(made->warnings[0] ==
        "1 of 2 islands of the mesh's flat pattern are mirrored and cannot be printed on");
}

TEST_CASE("Mesh: a file that is none is said in its place", "[stage][bad-input]") {
  const Result<Solid> made = MeshOf("v 0 0 0\n", 10);
  REQUIRE(!made.ok());
  CHECK(made.errors()[0].place.line == 4);
  CHECK(made.errors()[0].message == "has no faces; expected a mesh of triangles or polygons");
}

}  // namespace wheatpaste
