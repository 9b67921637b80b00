#include "present/pins.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste {
namespace {

TEST_CASE("PlacePins: on the point, else beside it; whole within the picture, none covered",
          "[present][invariant]") {
  const SheetLook look(*ReadTheme(std::nullopt, test::SourcePath("")), {210, 297});
  const RectMm picture{20, 30, 100, 60};
  const double radius = PinRadius(look);
  // Apart: each on its own point.
  const std::vector<PointMm> apart{{40, 50}, {60, 50}, {119, 89.5}};
  auto centres = PlacePins(look, picture, apart);
  CHECK(centres[0].x == 40);
  CHECK(centres[1].y == 50);
  CHECK(centres[2].x == Approx(120 - radius));  // at the corner, moved in
  CHECK(centres[2].y == Approx(90 - radius));
  // Twenty on one point in a corner.
  centres = PlacePins(look, picture, std::vector<PointMm>(20, {20, 30}));
  for (size_t i = 0; i < centres.size(); ++i) {
    CHECK(centres[i].x >= picture.x + radius);
    CHECK(centres[i].y >= picture.y + radius);
    for (size_t other = 0; other < i && i < 8; ++other) {
      const double away =
          std::hypot(centres[i].x - centres[other].x, centres[i].y - centres[other].y);
      CHECK(away >= 2 * radius);
    }
  }
  // A picture smaller than a disc has its disc in the middle.
  centres = PlacePins(look, {0, 0, radius, radius}, {{0, 0}});
  CHECK(centres[0].x == Approx(radius / 2));
}

}  // namespace
}  // namespace wheatpaste
