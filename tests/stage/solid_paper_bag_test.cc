#include <catch2/catch.hpp>

#include <cmath>

#include "stage/paper_ring.h"
#include "stage/solid_measures.h"
#include "stage/solids.h"

namespace wheatpaste {

TEST_CASE("Paper bag: its walls are bent from flat paper", "[stage][closed-form]") {
  const PaperRing ring(260, 320, 120, 1, 20);
  CHECK(ring.around() == 760);
  // Small steps around and up, everywhere: around exact but for chords in folds of 1 mm radius, up exact in front and short at the
  // sides' folds by half the square of their slope, 1.5 * 20 / 260.
  const double step = 0.02;
  double around = 0, up_front = 0, up_side = 0;
  for (double w = 1; w < 319; w += 7.3) {
    for (double s = 0.1; s < 759; s += 1.37) {
      around = std::max(around, std::abs((ring.At(s + step, w) - ring.At(s, w)).norm() / step - 1));
    }
    up_front = std::max(up_front, std::abs((ring.At(380, w + 1) - ring.At(380, w)).norm() - 1));
    up_side = std::max(up_side, std::abs((ring.At(570, w + 1) - ring.At(570, w)).norm() - 1));
  }
  CHECK(around < 1e-3);
  CHECK(up_front < 1e-3);
  CHECK(up_side < 0.5 * 0.116 * 0.116);
}

TEST_CASE("Paper bag: closed, sized as told, lengths kept, the same bits twice",
          "[stage][invariant]") {
  for (const auto& [size, crease] : {std::pair{std::array{260.0, 320.0, 120.0}, 0.5},
                                     std::pair{std::array{260.0, 320.0, 120.0}, 1.0},
                                     std::pair{std::array{80.0, 300.0, 70.0}, 0.0},
                                     std::pair{std::array{450.0, 350.0, 40.0}, 1.0}}) {
    PaperBagSolid bag;
    bag.size = size;
    bag.crease = crease;
    bag.handles = "none";
    const Solid solid = BuildSolid(bag);
    CHECK(CountEdges(solid).open == 0);
    CHECK(CountEdges(solid).twice == 0);
    const NormalCount normals = CheckNormals(solid);
    CHECK(normals.off_unit < 1e-9);
    // Corners of 0.3 mm about folds.
    CHECK(normals.behind < static_cast<int64_t>(solid.triangles.size() / 200));
    CHECK(ChartsApart(solid));
    REQUIRE(solid.faces.size() == 4);
    for (int32_t chart = 0; chart < 4; ++chart) {
      const SolidFace& face = solid.faces[static_cast<size_t>(chart)];
      const SheetCheck check = CheckSheet(solid, chart);
      CHECK(std::abs(check.area / (face.high.x * face.high.y) - 1) < 1e-6);
      CHECK(check.mirrored_area == 0);
      // Creases lengthen and shorten single cells of 2.6 mm.
      CHECK(check.shortest > 0.94);
      CHECK(check.longest < 1.06);
    }
    if (crease == 0.5) CHECK(SameBits(solid, BuildSolid(bag)));
  }
}

TEST_CASE("Paper bag: handles rise over its rim", "[stage][invariant]") {
  for (const char* kind : {"cord", "flat"}) {
    PaperBagSolid bag;
    bag.handles = kind;
    const Solid solid = BuildSolid(bag);
    double top = 0;
    for (const Eigen::Vector3d& at : solid.vertices) top = std::max(top, at.y());
    CHECK(top > 320 + 80);
    CHECK(top < 320 + 110);
  }
}

}  // namespace wheatpaste
