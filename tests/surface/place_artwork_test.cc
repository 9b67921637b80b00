#include "surface/place_artwork.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/units.h"
#include "surface/plane_chart.h"

namespace wheatpaste {
namespace {

const SurfaceMm kSheet{420, 594};

Placement Fitted(Fit fit, double rotate = 0) {
  Placement placement;
  placement.fit = fit;
  placement.rotate_degrees = rotate;
  return placement;
}

PlacedSize Place(const Placement& placement, double aspect) {
  return PlaceArtwork(placement, RectangleArea(kSheet), aspect, 0);
}

int BleedCount(const Edges& e) {
  return e.repeat_left + e.repeat_top + e.repeat_right + e.repeat_bottom;
}

TEST_CASE("Placing: contain and cover touch the surface on two sides", "[surface][closed-form]") {
  const PlacedSize contained = Place(Fitted(Fit::kContain), 2);
  CHECK(contained.size.x == Approx(420));
  CHECK(contained.size.y == Approx(210));
  CHECK(contained.centre == SurfaceMm{210, 297});
  CHECK(contained.bleeds.repeat_left);
  CHECK(contained.bleeds.repeat_right);
  CHECK(BleedCount(contained.bleeds) == 2);
  const PlacedSize covering = Place(Fitted(Fit::kCover), 2);
  CHECK(covering.size.x == Approx(1188));
  CHECK(covering.size.y == Approx(594));
  CHECK(BleedCount(covering.bleeds) == 4);
}

TEST_CASE("Placing: stretch takes the surface's own sides", "[surface][closed-form]") {
  const PlacedSize stretched = Place(Fitted(Fit::kStretch), 2);
  CHECK(stretched.size.x == 420);
  CHECK(stretched.size.y == 594);
  const PlacedSize turned = Place(Fitted(Fit::kStretch, 90), 2);
  CHECK(turned.size.x == 594);
  CHECK(turned.size.y == 420);
  CHECK(BleedCount(turned.bleeds) == 4);
  // A quarter turn clockwise takes the artwork's top left to the surface's top right.
  const SurfaceMm corner = turned.surface_from_artwork({0, 0});
  CHECK(corner.x == Approx(420));
  CHECK(corner.y == Approx(0).margin(1e-9));
}

TEST_CASE("Placing: a turn is clockwise about the centre and keeps shape",
          "[surface][closed-form]") {
  Placement placement = Fitted(Fit::kContain, 30);
  placement.width_mm = 100;
  placement.at = SurfaceMm{200, 300};
  const PlacedSize placed = Place(placement, 2);
  CHECK(placed.size.x == 100);
  CHECK(placed.size.y == 50);
  const SurfaceMm centre = placed.surface_from_artwork({0.5, 0.5});
  CHECK(centre.x == Approx(200));
  CHECK(centre.y == Approx(300));
  const double c = std::cos(RadFromDegrees(30).value), s = std::sin(RadFromDegrees(30).value);
  const SurfaceMm right = placed.surface_from_artwork({1, 0.5});
  CHECK(right.x == Approx(200 + 50 * c));
  CHECK(right.y == Approx(300 + 50 * s));  // y runs down: to the right turns downwards
  CHECK(BleedCount(placed.bleeds) == 0);
}

TEST_CASE("Placing: height in mm sets the width by the aspect ratio", "[surface][closed-form]") {
  Placement placement = Fitted(Fit::kContain);
  placement.height_mm = 80;
  CHECK(Place(placement, 1.5).size.x == Approx(120));
  CHECK(Place(placement, 1.5).size.y == 80);
}

// Closed form: a w x h rectangle turned by t lies in a box w |cos t| + h |sin t| by w |sin t| + h |cos t|.
TEST_CASE("Placing: turned artwork is contained, and covers", "[surface][closed-form]") {
  for (const double angle : {-170.0, -45.0, 10.0, 33.0, 90.0, 120.0}) {
    for (const double aspect : {0.3, 1.0, 2.4}) {
      INFO(angle << " degrees, aspect " << aspect);
      const PlacedSize contained = Place(Fitted(Fit::kContain, angle), aspect);
      CHECK(contained.size.x / contained.size.y == Approx(aspect));
      double nearest = 1e9;
      for (const ArtworkUv& uv : {ArtworkUv{0, 0}, {1, 0}, {1, 1}, {0, 1}}) {
        const SurfaceMm p = contained.surface_from_artwork(uv);
        for (const double room : {p.x, p.y, kSheet.x - p.x, kSheet.y - p.y}) {
          CHECK(room > -1e-6);
          nearest = std::min(nearest, room);
        }
      }
      CHECK(nearest < 1e-6);  // as large as possible

      const PlacedSize covering = Place(Fitted(Fit::kCover, angle), aspect);
      const auto artwork_from_surface = covering.surface_from_artwork.Inverse();
      nearest = 1e9;
      for (const SurfaceMm& p : {SurfaceMm{0, 0}, {420, 0}, {420, 594}, {0, 594}}) {
        const ArtworkUv uv = artwork_from_surface(p);
        for (const double room : {uv.x, uv.y, 1 - uv.x, 1 - uv.y}) {
          CHECK(room > -1e-9);
          nearest = std::min(nearest, room);
        }
      }
      CHECK(nearest < 1e-9);  // as small as possible
    }
  }
}

TEST_CASE("Placing: a side bleeds when it lies on the surface's edge or beyond",
          "[surface][closed-form]") {
  Placement placement = Fitted(Fit::kContain);
  placement.width_mm = 200;
  placement.at = SurfaceMm{100, 300};
  CHECK(Place(placement, 1).bleeds.repeat_left);
  CHECK(BleedCount(Place(placement, 1).bleeds) == 1);
  placement.at = SurfaceMm{101, 300};
  CHECK(BleedCount(Place(placement, 1).bleeds) == 0);
  // ... to the slack of half an output pixel.
  CHECK(PlaceArtwork(placement, RectangleArea(kSheet), 1, 1.5).bleeds.repeat_left);
}

TEST_CASE("Placing: raster density is that of the place seen largest", "[surface][closed-form]") {
  const PlacedSize placed = Place(Fitted(Fit::kStretch), 1);
  Eigen::Matrix3d h = Eigen::Matrix3d::Identity();
  h(0, 0) = 2;
  h(1, 1) = 0.5;
  const auto largest = [&] {
    return LargestPxPerMm(Map<OutputPx, SurfaceMm>(h), placed.surface_from_artwork, kSheet,
                          {2000, 2000});
  };
  CHECK(largest() == Approx(2));
  // All of it lies beyond the picture.
  h(0, 2) = 5000;
  CHECK(largest() == 0);
}

TEST_CASE("Placing: the outline is the artwork cut to the surface", "[surface][closed-form]") {
  const Map<OutputPx, SurfaceMm> same;
  const auto area = [](const std::vector<Eigen::Vector2d>& outline) {
    double twice = 0;
    for (size_t i = 0; i < outline.size(); ++i) {
      const auto &a = outline[i], &b = outline[(i + 1) % outline.size()];
      twice += a.x() * b.y() - b.x() * a.y();
    }
    return std::abs(twice) / 2;
  };
  CHECK(area(PicturedOutline(same, Place(Fitted(Fit::kCover, 20), 1.3).surface_from_artwork,
                             kSheet)) == Approx(420 * 594));
  const PlacedSize contained = Place(Fitted(Fit::kContain, 20), 1.3);
  CHECK(area(PicturedOutline(same, contained.surface_from_artwork, kSheet)) ==
        Approx(contained.size.x * contained.size.y));
  Placement away = Fitted(Fit::kContain);
  away.width_mm = 10;
  away.at = SurfaceMm{-100, 300};
  CHECK(PicturedOutline(same, Place(away, 1).surface_from_artwork, kSheet).empty());
}

// A half disc of radius 10 above the x axis: a square about (0, 5) fits until its upper corners meet the arc:
// (a/2)^2 + (5 + a/2)^2 = 100 gives a/2 = (-10 + sqrt(700)) / 4 = 4.1144, before its lower side meets y = 0 (5).
TEST_CASE("Placing: contain stays within an area that is no rectangle", "[surface][closed-form]") {
  PrintArea area{{-10, 0}, {10, 10}, {0, 5}, {}};
  for (int i = 0; i <= 2000; ++i) {
    const double t = std::numbers::pi * i / 2000;
    area.outline.push_back({10 * std::cos(t), 10 * std::sin(t)});
  }
  const PlacedSize placed = PlaceArtwork(Fitted(Fit::kContain), area, 1, 0);
  CHECK(placed.size.x == Approx(2 * (-10 + std::sqrt(700.0)) / 4).epsilon(1e-5));
  CHECK(placed.centre == SurfaceMm{0, 5});
  // cover reaches the bounds from the centre, stretch is the bounds.
  CHECK(PlaceArtwork(Fitted(Fit::kCover), area, 1, 0).size.x == Approx(20));
  const PlacedSize stretched = PlaceArtwork(Fitted(Fit::kStretch), area, 1, 0);
  CHECK(stretched.size.x == 20);
  CHECK(stretched.size.y == 10);
}

}  // namespace
}  // namespace wheatpaste
