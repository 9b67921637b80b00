#include <catch2/catch.hpp>

#include <cmath>

#include "stage/solid_measures.h"
#include "stage/solids.h"
#include "stage/tote_cloth.h"

namespace wheatpaste {
namespace {

// Largest change of length along the threads, over `span` cells, where no handle is near.
double WorstThread(const ToteShape& shape, int span) {
  double worst = 0;
  for (size_t p = 0; p < shape.cloth.panels.size(); ++p) {
    const TotePanel& panel = shape.cloth.panels[p];
    const double w = panel.width / (panel.columns - 1), h = panel.height / (panel.rows - 1);
    for (int r = 0; r < panel.rows; ++r) {
      for (int c = 0; c < panel.columns; ++c) {
        bool near = false;
        for (const ToteAnchor& anchor : shape.anchors[p % 2]) {
          near |= p < 2 && r * h < shape.handle_end + 25 &&
                  std::abs(c * w - anchor.flat_x) < shape.handle_width / 2 + 25;
        }
        if (near) continue;
        for (const bool downwards : {false, true}) {
          const int dr = downwards ? span : 0, dc = downwards ? 0 : span;
          if (r + dr >= panel.rows || c + dc >= panel.columns) continue;
          double length = 0;
          for (int k = 0; k < span; ++k) {
            const auto at = [&](int i) {
              return shape.cloth.points[static_cast<size_t>(
                  panel.At(r + (dr > 0 ? i : 0), c + (dc > 0 ? i : 0)))];
            };
            length += (at(k + 1) - at(k)).norm();
          }
          worst = std::max(worst, std::abs(length / (span * (dr > 0 ? h : w)) - 1));
        }
      }
    }
  }
  return worst;
}

}  // namespace

TEST_CASE("Tote: canvas keeps its length along the threads", "[stage][invariant]") {
  struct Case {
    double gusset, fill;
    bool hangs;
    double limit;
  };
  // kToteStrain; full ones and those that stand on the floor, where cloth is pressed together, half as much again.
  for (const Case& given : {Case{0, 0.3, true, kToteStrain}, Case{100, 0.5, true, kToteStrain},
                            Case{0, 0.3, false, kToteStrain}, Case{0, 1, true, 1.5 * kToteStrain},
                            Case{0, 1, false, 1.5 * kToteStrain}}) {
    ToteSolid tote;
    tote.gusset = given.gusset;
    tote.fill = given.fill;
    tote.hangs = given.hangs;
    const ToteShape shape = HangTote(tote, 2.2);
    INFO("gusset " << given.gusset << " fill " << given.fill << " hangs " << given.hangs);
    CHECK(WorstThread(shape, 6) <= given.limit);  // over two cells of what is relaxed
    Eigen::AlignedBox3d box;
    for (const Eigen::Vector3d& at : shape.cloth.points) box.extend(at);
    if (!given.hangs) CHECK(box.min().y() > -1);
    CHECK(box.max().y() < 420 * 1.02);
  }
}

TEST_CASE("Tote: what is inside bulges it", "[stage][invariant]") {
  double before = 0;
  for (const double fill : {0.0, 1.0}) {
    ToteSolid tote;
    tote.fill = fill;
    double deep = 0;
    for (const Eigen::Vector3d& at : HangTote(tote, 8).cloth.points) deep = std::max(deep, at.z());
    CHECK(deep > before + 4);
    before = deep;
  }
}

TEST_CASE("Tote: closed, canvas, hem and handles, the same bits twice, other creases by its seed",
          "[stage][invariant]") {
  for (const double gusset : {0.0, 90.0}) {
    ToteSolid tote;
    tote.size = {200, 230};
    tote.gusset = gusset;
    const Solid solid = BuildSolid(tote);
    CHECK(CountEdges(solid).open == 0);
    CHECK(CountEdges(solid).twice == 0);
    const NormalCount normals = CheckNormals(solid);
    CHECK(normals.off_unit < 1e-12);
    CHECK(normals.behind < static_cast<int64_t>(solid.triangles.size() / 1000));
    CHECK(ChartsApart(solid));
    REQUIRE(solid.faces.size() == (gusset > 0 ? 5 : 2));
    CHECK(solid.faces[0].name == "front");
    CHECK(solid.faces[0].high == SurfaceMm{200, 230});
    CHECK(solid.faces[1].name == "back");
    for (int32_t chart = 0; chart < solid.chart_count; ++chart) {
      const SolidFace& face = solid.faces[static_cast<size_t>(chart)];
      const SheetCheck check = CheckSheet(solid, chart);
      CHECK(std::abs(check.area / (face.high.x * face.high.y) - 1) < 1e-9);
      CHECK(check.mirrored_area == 0);
    }
    if (gusset == 0) {
      CHECK(SameBits(solid, BuildSolid(tote)));
      tote.seed = 2;
      CHECK_FALSE(SameBits(solid, BuildSolid(tote)));
    }
    double top = 0;
    for (const Eigen::Vector3d& at : solid.vertices) top = std::max(top, at.y());
    CHECK(std::abs(top - (230 + 280 + 2)) < 1.5);  // over the peg, a handle's thickness above it
  }
}

TEST_CASE("Tote: sizes at the ends of what can be told", "[stage][invariant]") {
  for (const auto& [width, height, gusset, handle] :
       {std::tuple{100.0, 100.0, 0.0, 60.0}, std::tuple{600.0, 250.0, 250.0, 120.0}}) {
    for (const bool hangs : {true, false}) {
      ToteSolid tote;
      tote.size = {width, height};
      tote.gusset = gusset;
      tote.handle = handle;
      tote.hangs = hangs;
      tote.fill = hangs ? 1 : 0;
      const ToteShape shape = HangTote(tote, 12);
      double farthest = 0;
      for (const Eigen::Vector3d& at : shape.cloth.points) {
        farthest = at.allFinite() ? std::max(farthest, at.cwiseAbs().maxCoeff()) : 1e300;
      }
      CHECK(farthest < width + height + gusset);
    }
  }
}

}  // namespace wheatpaste
