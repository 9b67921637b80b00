#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "stage/solid_measures.h"
#include "stage/solids.h"

namespace wheatpaste {

TEST_CASE("Sheet: a flat one is a closed box whose faces lie in their places",
          "[stage][closed-form]") {
  SheetSolid sheet;
  sheet.size = {420, 594};
  const Solid solid = BuildSolid(sheet);
  CHECK(CountEdges(solid).open == 0);
  CHECK(CountEdges(solid).twice == 0);
  CHECK(CheckNormals(solid).behind == 0);
  CHECK(std::abs(VolumeOf(solid) - 420 * 594 * 0.3) < 1e-6);
  CHECK(ChartsApart(solid));
  REQUIRE(solid.faces.size() == 2);
  CHECK(solid.faces[0].name == "front");
  CHECK(solid.faces[0].high == SurfaceMm{420, 594});
  for (const SolidTriangle& t : solid.triangles) {
    if (t.chart != 0) continue;
    for (size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3d& at = solid.vertices[static_cast<size_t>(t.vertices[k])];
      CHECK((Eigen::Vector3d(t.sheet[k].x - 210, 594 - t.sheet[k].y, 0.3) - at).norm() < 1e-9);
    }
  }
}

TEST_CASE("Sheet: curled corners stand off as told, and no length of the front changes",
          "[stage][closed-form]") {
  for (const double curl : {5.0, 60.0, 500.0}) {
    SheetSolid sheet;
    sheet.size = {420, 594};
    sheet.curl = curl;
    const Solid solid = BuildSolid(sheet);
    CHECK(CountEdges(solid).open == 0);
    const NormalCount normals = CheckNormals(solid);
    CHECK(normals.off_unit < 1e-12);
    CHECK(normals.behind == 0);
    // A chord of step 420 / 96 mm in an arc of at least 57 mm is short by a 4000th.
    const SheetCheck check = CheckSheet(solid, 0);
    CHECK(check.shortest > 1 - 1e-3);
    CHECK(check.longest < 1 + 1e-9);
    double corner = 0;
    for (const SolidTriangle& t : solid.triangles) {
      for (size_t k = 0; k < 3; ++k) {
        if (t.chart != 0 || t.sheet[k].x != 0 || std::abs(t.sheet[k].y - 594) > 1e-9) continue;
        corner = solid.vertices[static_cast<size_t>(t.vertices[k])].z() - 0.3;
      }
    }
    if (curl < 100) {
      CHECK(std::abs(corner - curl) < 1e-6);
      CHECK(solid.warnings.empty());
    } else {
      // Bent by a quarter turn at the corner: s S(1), with S the Fresnel integral, 0.4382591 (Abramowitz, Stegun 1964, table 7.7).
      CHECK(corner == Approx(0.34 * 420 * 0.4382591).margin(1e-4));
      CHECK(solid.warnings ==
            std::vector<std::string>{
                "its corners curl by 63 mm at most, 15 % of its shorter side; shown so"});
    }
  }
}

TEST_CASE("Sheet: a swing tag's hole is cut through both sides", "[stage][closed-form]") {
  SheetSolid sheet;
  sheet.size = {50, 90};
  sheet.thickness = 0.5;
  sheet.hole = 4;
  const Solid solid = BuildSolid(sheet);
  CHECK(CountEdges(solid).open == 0);
  CHECK(std::find(solid.parts.begin(), solid.parts.end(), "cord") != solid.parts.end());
  // The hole's chords reach over corners unevenly: within 1 % of the circle.
  for (const int32_t chart : {0, 1}) {
    const double cut = 50 * 90 - CheckSheet(solid, chart).area;
    CHECK(std::abs(cut / (4 * std::numbers::pi) - 1) < 0.01);
    CHECK(CheckSheet(solid, chart).mirrored_area == 0);
  }
  sheet.size = {6, 90};
  const Solid small = BuildSolid(sheet);
  CHECK(small.warnings.size() == 1);
  CHECK(std::abs(VolumeOf(small) - 6 * 90 * 0.5) < 1e-6);
}

}  // namespace wheatpaste
