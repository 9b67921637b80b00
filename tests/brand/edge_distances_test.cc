#include "brand/edge_distances.h"

#include <catch2/catch.hpp>

#include "brand/drawing_support.h"
#include "brand/place_rules.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr double kDensity = 10;

// A sheet of width x height mm; with a crease down at `crease` where that is above 0.
FlatFace Sheet(double width, double height, double crease = 0) {
  FlatFace face;
  const auto add = [&](double x0, double x1, bool left, bool right) {
    face.outlines.push_back({{x0, 0}, {x1, 0}, {x1, height}, {x0, height}});
    face.edges.push_back({{x0, 0}, {x1, 0}, {0, -1}});
    face.edges.push_back({{x1, height}, {x0, height}, {0, 1}});
    if (left) face.edges.push_back({{x0, height}, {x0, 0}, {-1, 0}});
    if (right) face.edges.push_back({{x1, 0}, {x1, height}, {1, 0}});
  };
  if (crease > 0) {
    add(0, crease, true, false);
    add(crease, width, false, true);
    face.edges.push_back({{crease, 0}, {crease, height}, {1, 0}, EdgeKind::kCrease, true});
  } else {
    add(0, width, true, true);
  }
  return face;
}

// The drawing (mm of its own size) with its top left at (x, y) of the sheet.
EdgeDistances Measured(double width, double height, const std::string& inside, double x, double y,
                       const FlatFace& face) {
  const FlatDrawing drawing = Drawn(width, height, inside, kDensity);
  Eigen::Matrix3d map;
  map << width, 0, x, 0, height, y, 0, 0, 1;
  return MeasureEdges(drawing, FindShapes(drawing), Map<SurfaceMm, ArtworkUv>(map), face);
}

std::string Square(double x, double y, double side) {
  return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#0f4a3f\"/>", x, y,
                     side, side);
}

// Closed form; limit 0.06 mm: half a px of the drawing and a rounding.
TEST_CASE("Edges: distance of what does not cross", "[brand][closed-form]") {
  const auto inside = Measured(60, 40, Square(2, 10, 8) + Square(30, 15, 8), 0, 0, Sheet(60, 40));
  REQUIRE(inside.trim.has_value());
  CHECK(inside.trim->mm == Approx(2).margin(0.06));
  CHECK(inside.trim->place.x == Approx(2).margin(0.1));
  CHECK(inside.any == Approx(2).margin(0.06));
  CHECK_FALSE(inside.bleed.has_value());
  CHECK_FALSE(inside.crease.has_value());
  // Placed elsewhere, the same square lies 7 mm from the left.
  CHECK(Measured(30, 30, Square(2, 10, 8), 5, 5, Sheet(60, 40)).trim->mm == Approx(7).margin(0.06));
}

TEST_CASE("Edges: bleed of what crosses", "[brand][closed-form]") {
  for (const double bleed : {0.0, 1.5, 3.0}) {
    INFO(bleed);
    const double side = 20 + 2 * bleed;
    const auto full = Measured(side, side, Square(0, 0, side), -bleed, -bleed, Sheet(20, 20));
    REQUIRE(full.bleed.has_value());
    CHECK(*full.bleed == Approx(bleed).margin(0.06));
    CHECK_FALSE(full.trim.has_value());
    CHECK(full.any == 0);
  }
  // A slanted bar bleeds as deep as its deepest place, not as its flanks.
  const auto bar = Measured(30, 30, "<path d=\"M0 0L6 0L16 15L10 15Z\" fill=\"#0f4a3f\"/>", 0, -5,
                            Sheet(30, 30));
  CHECK(*bar.bleed == Approx(5).margin(0.1));
}

TEST_CASE("Edges: creases are crossed or kept away from", "[brand][closed-form]") {
  const FlatFace strip = Sheet(60, 40, 30);
  const auto near = Measured(60, 40, Square(20, 10, 8.5), 0, 0, strip);
  REQUIRE(near.crease.has_value());
  CHECK(near.crease->mm == Approx(1.5).margin(0.06));
  CHECK(near.trim->mm == Approx(10).margin(0.06));
  CHECK_FALSE(Measured(60, 40, Square(26, 10, 8), 0, 0, strip).crease.has_value());
}

// 0 where outlines overlap, even without a corner of one within the other.
TEST_CASE("Clear space: distance between bounds", "[brand][closed-form]") {
  using Corners = std::array<Eigen::Vector2d, 4>;
  const Corners box{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}};
  const Corners right{{{14, 2}, {20, 2}, {20, 8}, {14, 8}}};
  const Corners diamond{{{5, 13}, {8, 16}, {5, 19}, {2, 16}}};
  const Corners cross{{{-5, 4}, {15, 4}, {15, 6}, {-5, 6}}};
  const Corners corner{{{13, 14}, {20, 14}, {20, 20}, {13, 20}}};
  CHECK(DistanceBetween(box, right) == Approx(4));
  CHECK(DistanceBetween(diamond, box) == Approx(3));
  CHECK(DistanceBetween(box, cross) == 0);
  CHECK(DistanceBetween(box, corner) == Approx(5));

  Placement placement;
  placement.clear_space = 0.5;
  const std::vector<DrawnBounds> own{{0, 0, 0, box}};
  const std::vector<DrawnBounds> all{{0, 0, 0, box}, {1, 0, 0, right}, {2, 0, 1, cross}};
  const Finding found = CheckClearSpace(placement, std::nullopt, own, all, 10);
  CHECK(*found.measured == Approx(4));
  CHECK(*found.expected == Approx(5));
  CHECK(found.verdict == Finding::Verdict::kBroken);
  CHECK(found.words == "the mark stands 4.0 mm clear of placement 2; 5.0 mm are expected");
  placement.clear_space.reset();
  CHECK(CheckClearSpace(placement, std::nullopt, own, all, 10).verdict ==
        Finding::Verdict::kNotJudged);
  placement.clear_space_mm = 4;
  CHECK(CheckClearSpace(placement, std::nullopt, own, all, 10).verdict == Finding::Verdict::kKept);
}

}  // namespace
}  // namespace wheatpaste
