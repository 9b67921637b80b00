#include "surface/patch_chart.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <numbers>
#include <vector>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

using Shape = std::function<PhotoPx(const SurfaceMm&)>;
constexpr SurfaceMm kSize{300, 200};
constexpr SizePx kPhoto{1200, 900};

PatchSpline SplineOf(const Shape& shape, int columns, int rows) {
  std::vector<PhotoPx> points;
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < columns; ++column) {
      points.push_back(shape({kSize.x * column / (columns - 1), kSize.y * row / (rows - 1)}));
    }
  }
  return PatchSpline(columns, rows, points, kSize);
}

PhotoPx Flag(const SurfaceMm& mm) {
  const double depth = 1000 + 25 * std::sin(mm.x / 40) * (0.3 + mm.x / 300) + 0.4 * mm.x;
  return {600 + 2600 * (mm.x - 150) / depth,
          430 + 2600 * (mm.y - 100) / depth + 30 * std::sin(mm.x / 50)};
}

// Three quarters of a ring: its top edge outside, its ends face each other. The outline is as concave as can be.
PhotoPx Ring(const SurfaceMm& mm) {
  const double angle = (0.75 + 1.5 * mm.x / kSize.x) * std::numbers::pi;
  const double radius = 400 - 230 * mm.y / kSize.y;
  return {600 + radius * std::cos(angle), 450 + radius * std::sin(angle)};
}

double AreaOf(const Polygon& outline) {
  double twice = 0;
  for (size_t i = 0; i < outline.size(); ++i) {
    const PhotoPx &a = outline[i], &b = outline[(i + 1) % outline.size()];
    twice += a.x * b.y - a.y * b.x;
  }
  return twice / 2;
}

// Every pixel that is seen, against the spline: its mm lead back to its centre.
// Limit  1e-3 px: mm are floats, 300 mm to 2^-16 mm, some px to the mm.
void CheckReturns(const ChartPicture& picture, const PatchSpline& spline, const Lens& lens,
                  const Frame& frame) {
  REQUIRE_FALSE(picture.region.empty());
  double most = 0, slope = 0, beyond = 0;
  bool finite = true;
  int64_t whole = 0;
  for (int64_t y = 0; y < picture.region.height(); ++y) {
    for (int64_t x = 0; x < picture.region.width(); ++x) {
      const float seen = picture.seen.row(0, y)[x];
      if (seen <= 0) continue;
      for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
        finite = finite && std::isfinite(picture.mm.row(plane, y)[x]);
      }
      const PhotoPx centre =
          frame.output_from_photo().Inverse()({static_cast<double>(picture.region.x0 + x) + 0.5,
                                               static_cast<double>(picture.region.y0 + y) + 0.5});
      const SurfaceMm mm{picture.mm.row(0, y)[x], picture.mm.row(1, y)[x]};
      const PhotoPx back = lens.PhotoFromIdeal(spline(mm));
      most = std::max(most, std::hypot(back.x - centre.x, back.y - centre.y));
      if (seen < 1) continue;
      ++whole;
      beyond = std::max({beyond, -mm.x, mm.x - kSize.x, -mm.y, mm.y - kSize.y});
      if (!lens.is_straight()) continue;
      // The stored change along a pixel is the inverse Jacobian, to what bends within a pixel.
      const Eigen::Matrix2d expected = spline.At(mm).jacobian.inverse() / frame.scale();
      for (int axis = 0; axis < 4; ++axis) {
        const double stored = picture.mm.row(2 + axis, y)[x];
        slope = std::max(slope, std::abs(stored - expected(axis / 2, axis % 2)));
      }
    }
  }
  CHECK(finite);
  CHECK(slope < 0.01);
  CHECK(beyond < 1e-3);
  CHECK(most < 1e-3);
  CHECK(whole > 10000);
}

TEST_CASE("Patch chart: every pixel's mm lead back to it", "[surface][invariant]") {
  const Frame frame = FramePhoto(kPhoto, kPhoto);
  for (const Shape& shape : {Shape(Flag), Shape(Ring)}) {
    const PatchSpline spline = SplineOf(shape, 9, 5);
    CheckReturns(PatchChart(spline, {}).Picture(frame), spline, {}, frame);
  }
}

TEST_CASE("Patch chart: the same in a smaller and a larger picture", "[surface][invariant]") {
  const PatchSpline spline = SplineOf(Ring, 9, 5);
  for (const SizePx size : {SizePx{400, 300}, SizePx{1920, 1080}}) {
    const Frame frame = FramePhoto(kPhoto, size);
    CheckReturns(PatchChart(spline, {}).Picture(frame), spline, {}, frame);
  }
}

TEST_CASE("Patch chart: through a lens that bends lines", "[surface][invariant]") {
  const PatchSpline spline = SplineOf(Flag, 7, 5);
  const Lens lens{1100, {600, 450}, -0.12, 0.02};
  const Frame frame = FramePhoto(kPhoto, kPhoto);
  CheckReturns(PatchChart(spline, lens).Picture(frame), spline, lens, frame);
}

// Limit  the polygon's area from pieces that stray less than 1e-4 px over a perimeter of some 2500 px, and the
//        picture's own tolerance of 0.01 px, which adds up to at most 25 px; floats add 1e-6 each.
TEST_CASE("Patch chart: the coverage adds up to the outline's area", "[surface][closed-form]") {
  for (const Shape& shape : {Shape(Flag), Shape(Ring)}) {
    const PatchSpline spline = SplineOf(shape, 9, 5);
    const ChartPicture picture = PatchChart(spline, {}).Picture(FramePhoto(kPhoto, kPhoto));
    double sum = 0;
    for (int64_t y = 0; y < picture.region.height(); ++y) {
      for (int64_t x = 0; x < picture.region.width(); ++x) {
        sum += double{picture.seen.row(0, y)[x]};
      }
    }
    CHECK(sum == Approx(AreaOf(IdealOutlineOf(spline, 1e-4))).margin(25));
  }
}

// The ring's exact area: 3/4 of pi (400^2 - 170^2); the spline through 33 x 5 points of it misses it by Peano's
// bound, far below a px; 2500 px around.
TEST_CASE("Patch chart: a ring has a ring's area", "[surface][closed-form]") {
  const double exact = 0.75 * std::numbers::pi * (400.0 * 400 - 170.0 * 170);
  CHECK(AreaOf(IdealOutlineOf(SplineOf(Ring, 16, 5), 1e-4)) == Approx(exact).epsilon(1e-4));
}

TEST_CASE("Patch chart: the same bits on any number of threads", "[surface][invariant]") {
  const PatchChart chart(SplineOf(Ring, 9, 5), {});
  const Frame frame = FramePhoto(kPhoto, {700, 525});
  const auto draw = [&](int threads) {
    const ThreadLimit limit(threads);
    return chart.Picture(frame);
  };
  const ChartPicture one = draw(1), three = draw(3);
  REQUIRE(one.region == three.region);
  bool same = true;
  for (int64_t y = 0; y < one.region.height(); ++y) {
    const size_t bytes = static_cast<size_t>(one.region.width()) * sizeof(float);
    same = same && std::memcmp(one.seen.row(0, y), three.seen.row(0, y), bytes) == 0;
    for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
      same = same && std::memcmp(one.mm.row(plane, y), three.mm.row(plane, y), bytes) == 0;
    }
  }
  CHECK(same);
}

TEST_CASE("Patch chart: a sheet off the picture is not seen", "[surface][closed-form]") {
  const PatchSpline spline = SplineOf(
      [](const SurfaceMm& mm) {
        return PhotoPx{2000 + mm.x, mm.y};
      },
      3, 3);
  CHECK(PatchChart(spline, {}).Picture(FramePhoto(kPhoto, kPhoto)).region.empty());
}

}  // namespace
}  // namespace wheatpaste
