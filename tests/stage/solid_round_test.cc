#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "geometry/frustum.h"
#include "stage/solid_measures.h"
#include "stage/solids.h"

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;

void CheckClosed(const Solid& solid) {
  CHECK(CountEdges(solid).open == 0);
  CHECK(CountEdges(solid).twice == 0);
  CHECK(CheckNormals(solid).off_unit < 1e-12);
  CHECK(CheckNormals(solid).behind == 0);
  CHECK(ChartsApart(solid));
  CHECK(solid.faces.at(0).name == "wrap");
  CHECK(CheckSheet(solid, 0).mirrored_area == 0);
}

}  // namespace

// Source  the net of a paper cup, reference checks K03, K04 (as tests/geometry/frustum_test.cc): chord 246.821253, height 110.883641,
//         area 21007.015180.
TEST_CASE("Cup: its wrap is the published net of a paper cup", "[stage][published]") {
  const Solid solid = BuildSolid(CupSolid{80, 60, 95, false});
  CheckClosed(solid);
  const SolidFace& face = solid.faces[0];
  CHECK(std::abs(face.high.x - face.low.x - 246.821253) < 1e-5);
  CHECK(std::abs(face.high.y - face.low.y - 110.883641) < 1e-5);
  CHECK(face.centre == SurfaceMm{0, 0});
  // All but what the rim hides and the rounding of the foot, a thirtieth.
  const SheetCheck check = CheckSheet(solid, 0);
  CHECK(check.area < 21007.02);
  CHECK(check.area > 21007.02 * 0.96);
  // Chords of 1.4 degrees.
  CHECK(check.shortest > 1 - 1e-4);
  CHECK(check.longest < 1 + 1e-6);
}

TEST_CASE("Cup: what is printed lies where the cone of a scene has it", "[stage][twin]") {
  for (const CupSolid& cup : {CupSolid{80, 56, 95, false}, CupSolid{56, 80, 95, true},
                              CupSolid{300, 290, 30, false}, CupSolid{20, 10, 200, true}}) {
    const Solid solid = BuildSolid(cup);
    CheckClosed(solid);
    const FrustumSize size{cup.diameter_top, cup.diameter_bottom, cup.height};
    const FlatPattern pattern(size);
    double worst = 0;
    for (const SolidTriangle& t : solid.triangles) {
      if (t.chart != 0) continue;
      for (size_t k = 0; k < 3; ++k) {
        // The frustum's own frame: y down from the top rim, z away.
        const Eigen::Vector3d& at = solid.vertices[static_cast<size_t>(t.vertices[k])];
        const Eigen::Vector3d there = ObjectFromSide(size, pattern.SideFromFlat(t.sheet[k]));
        worst = std::max(
            worst, (Eigen::Vector3d(there.x(), cup.height - there.y(), -there.z()) - at).norm());
      }
    }
    CHECK(worst < 1e-6);
  }
}

TEST_CASE("Tube and straight cup: the wrap is the cylinder's", "[stage][closed-form]") {
  for (const Solid& solid :
       {BuildSolid(TubeSolid{80, 200}), BuildSolid(CupSolid{80, 80, 200, false}),
        BuildSolid(TubeSolid{4, 300}), BuildSolid(TubeSolid{300, 5})}) {
    CheckClosed(solid);
    const SolidFace& face = solid.faces[0];
    CHECK(face.low == SurfaceMm{0, 0});
    CHECK(std::abs(face.centre.x - face.high.x / 2) < 1e-9);
    CHECK(CheckSheet(solid, 0).shortest > 1 - 1e-4);
    CHECK(CheckSheet(solid, 0).longest < 1 + 1e-9);
  }
  const Solid tube = BuildSolid(TubeSolid{80, 200});
  CHECK(std::abs(tube.faces[0].high.x - 80 * kPi) < 1e-9);
  CHECK(std::abs(tube.faces[0].high.y - 200) < 1e-9);
  // The middle of the wrap faces the front.
  for (const SolidTriangle& t : tube.triangles) {
    for (size_t k = 0; k < 3; ++k) {
      if (t.chart != 0 || std::abs(t.sheet[k].x - 40 * kPi) > 1e-9) continue;
      const Eigen::Vector3d& at = tube.vertices[static_cast<size_t>(t.vertices[k])];
      CHECK(std::hypot(at.x(), at.z() - 40) < 1e-9);
      CHECK(std::abs(at.y() - (200 - t.sheet[k].y)) < 1e-9);
    }
  }
  REQUIRE(tube.faces.size() == 2);
  CHECK(tube.faces[1].name == "lid");
}

TEST_CASE("Can: its wall is the cylinder's; on the necks mm around shrink, mm down do not",
          "[stage][closed-form]") {
  for (const CanSolid& can : {CanSolid{66, 115}, CanSolid{53, 160}, CanSolid{200, 90}}) {
    const Solid solid = BuildSolid(can);
    CheckClosed(solid);
    CHECK(std::abs(solid.faces[0].high.x - can.diameter * kPi) < 1e-9);
    double worst_down = 0, worst_around = 0;
    for (const SolidTriangle& t : solid.triangles) {
      if (t.chart != 0) continue;
      for (size_t k = 0; k < 3; ++k) {
        const size_t n = (k + 1) % 3;
        const Eigen::Vector3d &a = solid.vertices[static_cast<size_t>(t.vertices[k])],
                              &b = solid.vertices[static_cast<size_t>(t.vertices[n])];
        const double across = t.sheet[k].x - t.sheet[n].x, down = t.sheet[k].y - t.sheet[n].y;
        const double radius = std::hypot(a.x(), a.z());
        if (std::abs(across) < 1e-9) {
          worst_down = std::max(worst_down, std::abs((a - b).norm() / std::abs(down) - 1));
        }
        if (std::abs(down) < 1e-9) {
          const double shrunk = radius / (can.diameter / 2);
          worst_around =
              std::max(worst_around, std::abs((a - b).norm() / std::abs(across) / shrunk - 1));
        }
      }
    }
    CHECK(worst_down < 1e-6);
    CHECK(worst_around < 1e-4);  // chords of 1.4 degrees
  }
}

}  // namespace wheatpaste
