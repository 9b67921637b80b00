#include "surface/mark_patch.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "surface/fit_plane.h"
#include "surface/marked_shape.h"

namespace wheatpaste {
namespace {

constexpr SizePx kPhoto{1200, 900};

Camera StraightCamera() {
  Camera camera;
  camera.focal_px = 1500;
  camera.principal = {600, 450};
  camera.lens = {1500, {600, 450}, 0, 0};
  return camera;
}

// An even grid, 100 px a step from (100, 80); point (row, column) stands at line 10 + row, column 4 + column.
Surface GridOf(int columns, int rows) {
  Surface surface;
  surface.shape = Shape::kPatch;
  surface.size = SurfaceMm{300, 200};
  surface.patch.columns = columns;
  surface.patch.rows = rows;
  surface.patch.place = {"flag.toml", 9, 10};
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < columns; ++column) {
      surface.patch.points.push_back({100.0 + 100 * column, 80.0 + 100 * row});
      surface.patch.point_places.push_back(
          {"flag.toml", static_cast<uint32_t>(10 + row), static_cast<uint32_t>(4 + column)});
    }
  }
  return surface;
}

PhotoPx& PointOf(Surface& surface, int row, int column) {
  return surface.patch.points[static_cast<size_t>(row * surface.patch.columns + column)];
}

std::string ErrorOf(const Surface& surface) {
  const auto shape = MarkPatch(surface);
  REQUIRE_FALSE(shape);
  REQUIRE(shape.errors().size() == 1);
  return FormatError(shape.errors().front());
}

FittedSurface Finish(const Surface& surface) {
  const auto shape = MarkPatch(surface);
  REQUIRE(shape);
  CHECK_FALSE((*shape)->is_fitted());
  CHECK_FALSE((*shape)->tells_focal());
  auto fitted = (*shape)->Finish({}, StraightCamera(), kPhoto);
  REQUIRE(fitted);
  return std::move(*fitted);
}

TEST_CASE("Patch: a grid becomes one face of its size", "[surface][closed-form]") {
  const FittedSurface fitted = Finish(GridOf(4, 3));
  CHECK(fitted.size_known);
  CHECK(fitted.size.x == 300);
  CHECK(fitted.size.y == 200);
  CHECK(fitted.aspect.value == Approx(1.5));
  CHECK(fitted.aspect.sd == 0);
  CHECK_FALSE(fitted.pose);
  CHECK(fitted.warnings.empty());
  REQUIRE(fitted.faces.size() == 1);
  CHECK(fitted.faces[0].name.empty());
  CHECK(fitted.faces[0].area.high == SurfaceMm{300, 200});
  REQUIRE(fitted.faces[0].charts.size() == 1);
  REQUIRE(fitted.corners.size() == 4);
  CHECK(fitted.corners[2] == PhotoPx{400, 280});
  // The pixel whose centre is (250.5, 180.5): half a px beyond the middle of 300 x 200 px.
  const ChartPicture picture = fitted.faces[0].charts[0]->Picture(FramePhoto(kPhoto, kPhoto));
  CHECK(picture.region == RectPx{100, 80, 400, 280});
  CHECK(picture.mm.row(0, 100)[150] == Approx(150.5));
  CHECK(picture.mm.row(1, 100)[150] == Approx(100.5));
}

TEST_CASE("Patch: without a size, the proportions are the picture's, and it says so",
          "[surface][closed-form]") {
  Surface surface = GridOf(4, 3);
  surface.size.reset();
  for (PhotoPx& p : surface.patch.points) p.y = 80 + (p.y - 80) / 2;
  const FittedSurface fitted = Finish(surface);
  CHECK_FALSE(fitted.size_known);
  CHECK(fitted.size.x == kUnsizedWidthMm);
  CHECK(fitted.aspect.value == Approx(3));
  CHECK(fitted.aspect.sd == Approx(0).margin(1e-12));
  REQUIRE(fitted.warnings.size() == 1);
  CHECK(fitted.warnings[0] ==
        "its proportions, 3 wide to 1 high, are those of the picture: how much of that is "
        "foreshortening is not known; give the surface a size");
}

TEST_CASE("Patch: marks that coincide are refused", "[surface][bad-input]") {
  Surface surface = GridOf(4, 3);
  PointOf(surface, 1, 2) = {PointOf(surface, 1, 1).x + 1, PointOf(surface, 1, 1).y + 1};
  CHECK(ErrorOf(surface) ==
        "flag.toml:11:6: error: surface.points, row 2, point 3: expected a point at least 2 px "
        "from its neighbours; it coincides with point 2 of row 2");
  surface = GridOf(4, 3);
  PointOf(surface, 2, 0) = PointOf(surface, 1, 1);
  CHECK(ErrorOf(surface) ==
        "flag.toml:12:4: error: surface.points, row 3, point 1: expected a point at least 2 px "
        "from its neighbours; it coincides with point 2 of row 2");
}

TEST_CASE("Patch: numbers that are not finite are refused", "[surface][bad-input]") {
  Surface surface = GridOf(2, 2);
  PointOf(surface, 1, 0).y = std::numeric_limits<double>::quiet_NaN();
  CHECK(ErrorOf(surface) ==
        "flag.toml:11:4: error: surface.points, row 2, point 1: expected finite photo px");
}

TEST_CASE("Patch: a mirrored grid is refused", "[surface][bad-input]") {
  const std::string expected =
      "flag.toml:9:10: error: surface.points: expected rows from the surface's own top to its "
      "bottom, each from left to right; this grid is mirrored, and so would be the artwork";
  Surface surface = GridOf(4, 3);
  for (PhotoPx& p : surface.patch.points) p.x = 1000 - p.x;
  CHECK(ErrorOf(surface) == expected);
  surface = GridOf(2, 2);
  std::swap(surface.patch.points[1], surface.patch.points[2]);
  CHECK(ErrorOf(surface) == expected);
}

TEST_CASE("Patch: a cell that folds over is named, at its mark", "[surface][bad-input]") {
  // Two neighbours of the middle row exchanged: the cells between them turn inside out.
  Surface surface = GridOf(5, 4);
  std::swap(PointOf(surface, 1, 2), PointOf(surface, 1, 3));
  const std::string error = ErrorOf(surface);
  CAPTURE(error);
  CHECK(error.find("the cell in row ") != std::string::npos);
  CHECK(error.find(", column 3 folds over: near this point the sheet would show its back; "
                   "expected points that stay in their order, and where the sheet turns away the "
                   "last that is still seen") != std::string::npos);
  CHECK(error.rfind("flag.toml:11:", 0) == 0);

  // Sides that cross, and a corner that points inwards: no even sheet looks so.
  surface = GridOf(2, 2);
  std::swap(surface.patch.points[2], surface.patch.points[3]);
  CHECK(ErrorOf(surface).find("the cell in row 1, column 1 folds over") != std::string::npos);
  surface = GridOf(2, 2);
  surface.patch.points[3] = {120, 100};
  CHECK(ErrorOf(surface).find("the cell in row 1, column 1 folds over") != std::string::npos);
}

// The marks of each row keep their order from left to right; between them the sheet swings back.
TEST_CASE("Patch: a fold within a cell whose corners look fine is found", "[surface][bad-input]") {
  Surface surface = GridOf(7, 3);
  const double across[7] = {100, 200, 300, 303, 500, 600, 700};
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 7; ++column) PointOf(surface, row, column).x = across[column];
  }
  CHECK(ErrorOf(surface).find(", column 3 folds over") != std::string::npos);
}

TEST_CASE("Patch: an outline that crosses itself is refused", "[surface][bad-input]") {
  // A ring of one and a tenth turns: no cell folds, its end lies over its start.
  Surface surface = GridOf(16, 3);
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 16; ++column) {
      const double angle = 1.1 * 6.283185307 * column / 15, radius = 300 - 60 * row;
      PointOf(surface, row, column) = {600 + radius * std::cos(angle),
                                       450 + radius * std::sin(angle)};
    }
  }
  CHECK(ErrorOf(surface).find("the outline of the grid crosses itself near this point") !=
        std::string::npos);
}

// Marks as far off as a scene file lets them be: an answer within moments, and finite numbers where it is seen.
TEST_CASE("Patch: a grid that reaches far beyond the photo", "[surface][bad-input]") {
  Surface surface = GridOf(16, 16);
  for (int row = 0; row < 16; ++row) {
    for (int column = 0; column < 16; ++column) {
      PointOf(surface, row, column) = {4e4 * (column - 7.3) + 9e3 * std::sin(row),
                                       4e4 * (row - 7.6) + 9e3 * std::sin(column)};
    }
  }
  const FittedSurface fitted = Finish(surface);
  const ChartPicture picture = fitted.faces[0].charts[0]->Picture(FramePhoto(kPhoto, {120, 90}));
  REQUIRE(picture.region == RectPx{0, 0, 120, 90});
  CHECK(picture.seen.row(0, 40)[60] == 1);
  bool finite = true;
  for (int64_t y = 0; y < 90; ++y) {
    for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
      for (int64_t x = 0; x < 120; ++x)
        finite = finite && std::isfinite(picture.mm.row(plane, y)[x]);
    }
  }
  CHECK(finite);
}

// Every cell's marks are moved at random, more and more: whatever is not refused must not fold.
TEST_CASE("Patch: what is not refused does not fold", "[surface][invariant]") {
  std::mt19937 random(17);
  int refused = 0, taken = 0;
  for (int trial = 0; trial < 80; ++trial) {
    std::normal_distribution<double> noise(0, 0.4 * trial);
    Surface surface = GridOf(5, 4);
    for (PhotoPx& p : surface.patch.points) p = {p.x + noise(random), p.y + noise(random)};
    if (!MarkPatch(surface)) {
      ++refused;
      continue;
    }
    ++taken;
    const PatchSpline spline(5, 4, surface.patch.points, *surface.size);
    double least = 1;
    for (int i = 0; i <= 60; ++i) {
      for (int j = 0; j <= 80; ++j) {
        least = std::min(least, spline.At({300.0 / 80 * j, 200.0 / 60 * i}).jacobian.determinant());
      }
    }
    CHECK(least > 0);
  }
  CHECK(refused > 20);
  CHECK(taken > 20);
}

TEST_CASE("Patch: a grid outside the photo is refused, one that reaches into it is taken",
          "[surface][bad-input]") {
  Surface surface = GridOf(3, 3);
  for (PhotoPx& p : surface.patch.points) p.x += 1200;
  const auto shape = MarkPatch(surface);
  REQUIRE(shape);
  const auto fitted = (*shape)->Finish({}, StraightCamera(), kPhoto);
  REQUIRE_FALSE(fitted);
  CHECK(FormatError(fitted.errors().front()) ==
        "flag.toml:9:10: error: surface.points: the grid lies outside the photo, which is 1200 x "
        "900 px");
  for (PhotoPx& p : surface.patch.points) p.x -= 150;
  CHECK(Finish(surface).faces.size() == 1);
}

}  // namespace
}  // namespace wheatpaste
