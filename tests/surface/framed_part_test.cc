#include "surface/framed_part.h"

#include <catch2/catch.hpp>

#include "surface/solve_camera.h"

namespace wheatpaste {
namespace {

constexpr SizePx kPhoto{1600, 1200};

// A plane seen straight on, [400, 800] x [300, 900] of the photo.
std::vector<FittedSurface> SolvedPlane() {
  Surface surface;
  surface.name.value = "poster";
  surface.size = SurfaceMm{400, 600};
  for (const auto& [x, y] : {std::pair{400, 300}, {800, 300}, {800, 900}, {400, 900}}) {
    surface.corners.push_back({static_cast<double>(x), static_cast<double>(y)});
  }
  Photo photo;
  photo.focal_px = 2000;
  return SolveCamera(photo, kPhoto, {}, {surface}).value().surfaces;
}

FramedPart Around(double margin) {
  FramedPart frame;
  frame.margin = margin;
  frame.place = {"x.toml", 3, 4};
  frame.subject = "frame.surface = \"poster\"";
  return frame;
}

// Limit   2 photo px: one of the small picture in which the surface is found, which is half as large.
TEST_CASE("Framed part: a surface's bounds and its margin", "[surface][closed-form]") {
  const auto bare = FindFramedPart(Around(0), SolvedPlane(), kPhoto);
  REQUIRE(bare.ok());
  CHECK(bare->x0 == Approx(400).margin(2));
  CHECK(bare->y0 == Approx(300).margin(2));
  CHECK(bare->width == Approx(400).margin(4));
  CHECK(bare->height == Approx(600).margin(4));
  // A tenth of 600 px on each side.
  const auto wide = FindFramedPart(Around(0.1), SolvedPlane(), kPhoto);
  REQUIRE(wide.ok());
  CHECK(wide->x0 == Approx(340).margin(2.5));
  CHECK(wide->width == Approx(520).margin(5));
  CHECK(wide->y0 == Approx(240).margin(2.5));
  CHECK(wide->height == Approx(720).margin(5));
  // The photo's edge ends it.
  const auto cut = FindFramedPart(Around(1), SolvedPlane(), kPhoto);
  REQUIRE(cut.ok());
  CHECK(cut->y0 == 0);
  CHECK(cut->height == 1200);
}

TEST_CASE("Framed part: a rectangle as it stands, as far as the photo goes",
          "[surface][closed-form]") {
  FramedPart frame;
  frame.rectangle = {1000.5, -20, 1900, 600};
  const auto part = FindFramedPart(frame, {}, kPhoto);
  REQUIRE(part.ok());
  CHECK(*part == SourceWindow{1000.5, 0, 599.5, 600});
}

TEST_CASE("Framed part: what the photo does not show", "[surface][bad-input]") {
  // A surface of which no face is in the picture.
  const auto beside = FindFramedPart(Around(0.1), {FittedSurface()}, kPhoto);
  REQUIRE_FALSE(beside.ok());
  CHECK(
      FormatErrors(beside.errors()) ==
      "x.toml:3:4: error: frame.surface = \"poster\": expected what the photo shows, at least 1 x "
      "1 px of it; the photo is 1600 x 1200 px\n");
  FramedPart rectangle = Around(0);
  rectangle.rectangle = {1600, 0, 2000, 100};
  CHECK_FALSE(FindFramedPart(rectangle, {}, kPhoto).ok());
}

}  // namespace
}  // namespace wheatpaste
