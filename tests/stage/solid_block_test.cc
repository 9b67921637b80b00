#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "stage/solid_measures.h"
#include "stage/solids.h"

namespace wheatpaste {

TEST_CASE("Block: closed, as large as a rounded box is, lengths true but for its corners",
          "[stage][closed-form]") {
  constexpr double kPi = std::numbers::pi;
  for (const double edge : {0.0, 3.0, 100.0}) {
    BlockSolid block;
    block.size = {100, 60, 40};
    block.edge = edge;
    const Solid solid = BuildSolid(block);
    const double r = std::min(edge, 20.0);
    const double a = 100 - 2 * r, b = 60 - 2 * r, c = 40 - 2 * r;
    const double volume = a * b * c + 2 * r * (a * b + b * c + c * a) + kPi * r * r * (a + b + c) +
                          4 * kPi / 3 * r * r * r;
    // Chords of 7.5 degrees lie within the round.
    CHECK(VolumeOf(solid) <= volume * (1 + 1e-12));
    CHECK(VolumeOf(solid) > volume * (1 - 3e-3));
    CHECK(CountEdges(solid).open == 0);
    CHECK(CountEdges(solid).twice == 0);
    CHECK(CheckNormals(solid).behind == 0);
    CHECK(ChartsApart(solid));
    CHECK(solid.warnings.size() == (edge > 20 ? 1 : 0));
    REQUIRE(solid.faces.size() == 6);
    CHECK(std::abs(solid.faces[0].high.x - (a + kPi * r / 2)) < 1e-9);
    CHECK(std::abs(solid.faces[4].high.y - (c + kPi * r / 2)) < 1e-9);
    for (const SolidTriangle& t : solid.triangles) {
      for (size_t k = 0; k < 3; ++k) {
        const size_t n = (k + 1) % 3;
        const Eigen::Vector3d off = solid.vertices[static_cast<size_t>(t.vertices[k])] -
                                    solid.vertices[static_cast<size_t>(t.vertices[n])];
        const double flat = std::hypot(t.sheet[k].x - t.sheet[n].x, t.sheet[k].y - t.sheet[n].y);
        // Away from corners one of the face's two directions is straight: no normal has three parts.
        const bool corner =
            (t.normals[k].array().abs() > 1e-9).all() || (t.normals[n].array().abs() > 1e-9).all();
        if (!corner) CHECK(std::abs(off.norm() / flat - 1) < 1e-3);
      }
    }
  }
}

}  // namespace wheatpaste
