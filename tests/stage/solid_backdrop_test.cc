#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "stage/solid_measures.h"
#include "stage/solids.h"

namespace wheatpaste {

TEST_CASE("Backdrop: wall, floor and sweep face whoever looks, in true lengths",
          "[stage][closed-form]") {
  SweepSolid sweep;
  sweep.size = {400, 250, 300};
  sweep.radius = 60;
  SweepSolid bowl = sweep;
  bowl.radius = 5000;
  for (const Solid& solid : {BuildSolid(WallSolid{{600, 300}}), BuildSolid(FloorSolid{{600, 400}}),
                             BuildSolid(sweep), BuildSolid(bowl)}) {
    REQUIRE(solid.faces.size() == 1);
    CHECK(solid.faces[0].name.empty());
    CHECK(CheckNormals(solid).behind == 0);
    CHECK(CheckSheet(solid, 0).shortest > 1 - 1e-4);
    CHECK(CheckSheet(solid, 0).longest < 1 + 1e-9);
    CHECK(CheckSheet(solid, 0).mirrored_area == 0);
    for (const Eigen::Vector3d& at : solid.vertices) CHECK(at.y() >= 0);
  }
  // Straight 190 and 240 mm, a quarter of a circle between.
  CHECK(std::abs(BuildSolid(sweep).faces[0].high.y - (190 + 240 + 30 * std::numbers::pi)) < 1e-9);
  // As large as its height at most.
  CHECK(std::abs(BuildSolid(bowl).faces[0].high.y - (50 + 125 * std::numbers::pi)) < 1e-9);
  CHECK(BuildSolid(bowl).warnings.size() == 1);
}

}  // namespace wheatpaste
