#include "surface/bend_chart.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>
#include <numbers>

#include "base/parallel.h"
#include "surface/marked_scene.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr double kPi = std::numbers::pi;
const TrueCamera kTruth{1300, {640, 480}};
const SurfaceMm kSize{420, 300};

TruePose Oblique() {
  TruePose pose;
  pose.rotation = TurnBy({0.25, 0, 0}) * TurnBy({0, -0.65, 0}) * TurnBy({0, 0, 0.1});
  pose.translation = {-170, -130, 900};
  return pose;
}

// Folds that fade out towards the sides.
double HeightAt(double x, double y, double amount) {
  const auto fade = [](double share) { return std::pow(std::sin(kPi * share), 2); };
  return amount * std::cos(2 * kPi * (x + 0.4 * y) / 90) * fade(x / kSize.x) * fade(y / kSize.y);
}

struct Bent {
  ChartPicture picture;
  BendReport report;
  PrintArea area;
};
Bent Bend(double amount) {
  const FittedSurface plane = MustSolve(
      WithFocal(1300), PlaneOf(PictureOfRectangle(kTruth, Oblique(), kSize.x, kSize.y), kSize));
  const Chart& chart = *plane.faces[0].charts[0];
  const Frame frame = FramePhoto(kPhoto, kPhoto);
  Bent bent{chart.Picture(frame), {}, plane.faces[0].area};
  StoreMm(bent.picture, bent.area.low, bent.area.high);
  const auto normals = chart.Normals(frame, bent.picture.region);
  REQUIRE(normals);
  const auto view =
      ViewFace(bent.picture, bent.area, *normals, frame, {kTruth.focal_px, kTruth.principal, 0, 0});
  REQUIRE(view);
  const GridShape shape{{0, 0}, 1, 421, 301};
  GridValues heights(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) heights[shape.at(i, j)] = HeightAt(i, j, amount);
  }
  bent.report = BendPicture(*view, bent.area, shape, heights, bent.picture);
  return bent;
}

// mm at a photo point, bilinear between pixels' centres.
Eigen::Vector2d MmAt(const ChartPicture& picture, const PhotoPx& at) {
  const double x = at.x - 0.5 - static_cast<double>(picture.region.x0);
  const double y = at.y - 0.5 - static_cast<double>(picture.region.y0);
  const auto i = static_cast<int64_t>(x), j = static_cast<int64_t>(y);
  const double fx = x - static_cast<double>(i), fy = y - static_cast<double>(j);
  const auto plane = [&](int k) {
    const float *a = picture.mm.row(k, j) + i, *b = picture.mm.row(k, j + 1) + i;
    return (1 - fy) * ((1 - fx) * a[0] + fx * a[1]) + fy * ((1 - fx) * b[0] + fx * b[1]);
  };
  return {plane(0), plane(1)};
}

}  // namespace

TEST_CASE("Bent chart: each point of a bent sheet is shown where the camera sees it",
          "[surface][closed-form]") {
  const TruePose pose = Oblique();
  for (const double amount : {6.0, -6.0}) {
    const Bent bent = Bend(amount);
    CHECK(bent.report.kept == 1);
    CHECK(bent.report.hidden_share == 0);
    CHECK(bent.report.least_change > 0.5);
    double largest = 0, moved = 0;
    for (double x = 15; x < kSize.x - 15; x += 7) {
      for (double y = 15; y < kSize.y - 15; y += 7) {
        // The object's z runs away from the camera.
        const PhotoPx at = Picture(kTruth, pose, {x, y, -HeightAt(x, y, amount)});
        const PhotoPx flat = Picture(kTruth, pose, {x, y, 0});
        largest = std::max(largest, (MmAt(bent.picture, at) - Eigen::Vector2d(x, y)).norm());
        moved = std::max(moved, (at.vector() - flat.vector()).norm());
      }
    }
    // A shift of 4 px and more is put right to what a grid of 1 mm and pixels of 0.8 mm leave.
    CHECK(moved > 4);
    CHECK(largest < 0.05);
  }
}

TEST_CASE("Bent chart: footprints are the change of the bent mm along a pixel",
          "[surface][closed-form]") {
  const Bent bent = Bend(5);
  const ChartPicture& picture = bent.picture;
  double largest = 0;
  for (int64_t y = 40; y + 40 < picture.region.height(); y += 11) {
    for (int64_t x = 40; x + 40 < picture.region.width(); x += 13) {
      if (picture.seen.row(0, y)[x - 2] < 1 || picture.seen.row(0, y)[x + 2] < 1) continue;
      for (const int k : {0, 1}) {
        const double across = (picture.mm.row(k, y)[x + 1] - picture.mm.row(k, y)[x - 1]) / 2;
        largest = std::max(largest, std::abs(across - picture.mm.row(2 + 2 * k, y)[x]));
      }
    }
  }
  // Slopes of the grid's straight pieces, of 0.8 mm a pixel.
  CHECK(largest < 0.03);
}

TEST_CASE("Bent chart: however high the folds, the print never turns over nor leaves the face",
          "[surface][invariant]") {
  for (const double amount : {20.0, -60.0, 200.0}) {
    const Bent bent = Bend(amount);
    INFO("amount " << amount << ", kept " << bent.report.kept);
    CHECK(bent.report.least_change >= kLeastChange);
    CHECK(bent.report.hidden_share > 0);
    int64_t turned = 0, outside = 0, pixels = 0;
    for (int64_t y = 0; y < bent.picture.region.height(); ++y) {
      for (int64_t x = 0; x < bent.picture.region.width(); ++x) {
        if (bent.picture.seen.row(0, y)[x] < 1) continue;
        ++pixels;
        const auto at = [&](int k) { return double{bent.picture.mm.row(k, y)[x]}; };
        if (!(at(2) * at(5) - at(3) * at(4) > 0)) ++turned;
        if (at(0) < -1e-3 || at(1) < -1e-3 || at(0) > kSize.x + 1e-3 || at(1) > kSize.y + 1e-3) {
          ++outside;
        }
      }
    }
    CHECK(pixels > 50000);
    CHECK(turned == 0);
    CHECK(outside == 0);
  }
}

TEST_CASE("Bent chart: the same bits for any number of threads", "[surface][invariant]") {
  const auto with = [](int threads) {
    const ThreadLimit limit(threads);
    return Bend(5);
  };
  const Bent one = with(1), four = with(4);
  for (int plane = 0; plane < SurfaceMmPlanes::kPlanes; ++plane) {
    for (int64_t y = 0; y < one.picture.region.height(); ++y) {
      REQUIRE(std::memcmp(one.picture.mm.row(plane, y), four.picture.mm.row(plane, y),
                          sizeof(float) * static_cast<size_t>(one.picture.region.width())) == 0);
    }
  }
}

TEST_CASE("Flat grid: gaps are filled within what surrounds them, known nodes stay",
          "[surface][invariant]") {
  const GridShape shape{{0, 0}, 1, 37, 23};
  std::vector<double> weights(shape.count(), 0.0);
  GridValues values(shape.count(), -99.0);
  for (size_t k = 0; k < values.size(); k += 17) {
    weights[k] = 0.3;
    values[k] = 2 + static_cast<double>(k % 5);
  }
  const GridValues known = values;
  FillGaps(shape, weights, values);
  for (size_t k = 0; k < values.size(); ++k) {
    if (weights[k] > 0) {
      CHECK(values[k] == known[k]);
    } else {
      CHECK(values[k] >= 2);
      CHECK(values[k] <= 6);
    }
  }
}

}  // namespace wheatpaste
