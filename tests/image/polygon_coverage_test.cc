#include "image/polygon_coverage.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace wheatpaste {
namespace {

using Outline = std::vector<Eigen::Vector2d>;

double ShoelaceArea(const Outline& outline) {
  double twice = 0;
  for (size_t i = 0; i < outline.size(); ++i) {
    const auto &a = outline[i], &b = outline[(i + 1) % outline.size()];
    twice += a.x() * b.y() - b.x() * a.y();
  }
  return std::abs(twice) / 2;
}

double Total(const Image<Coverage>& coverage) {
  double sum = 0;
  for (int64_t y = 0; y < coverage.height(); ++y) {
    for (int64_t x = 0; x < coverage.width(); ++x) sum += double{coverage.row(0, y)[x]};
  }
  return sum;
}

Outline RegularPolygon(Eigen::Vector2d centre, double radius, int corners, double turn) {
  Outline outline;
  for (int i = 0; i < corners; ++i) {
    const double angle = turn + 2 * std::numbers::pi * i / corners;
    outline.emplace_back(centre.x() + radius * std::cos(angle),
                         centre.y() + radius * std::sin(angle));
  }
  return outline;
}

bool Inside(const Outline& outline, double x, double y) {
  int winding = 0;
  for (size_t i = 0; i < outline.size(); ++i) {
    const auto &a = outline[i], &b = outline[(i + 1) % outline.size()];
    if ((a.y() <= y) == (b.y() <= y)) continue;
    if (a.x() + (b.x() - a.x()) * (y - a.y()) / (b.y() - a.y()) > x) {
      winding += a.y() < b.y() ? 1 : -1;
    }
  }
  return winding != 0;
}

// Every pixel against 64 x 64 samples of it. An edge through a pixel misjudges at most about the samples
// that it runs between: 2 edges x 64 of 4096, 0.03; in practice far fewer.
void CheckAgainstSamples(const Outline& outline, const RectPx& region) {
  const auto coverage = PolygonCoverage(outline, region);
  constexpr int kSamples = 64;
  double worst = 0;
  for (int64_t y = region.y0; y < region.y1; ++y) {
    for (int64_t x = region.x0; x < region.x1; ++x) {
      int hits = 0;
      for (int j = 0; j < kSamples; ++j) {
        for (int i = 0; i < kSamples; ++i) {
          hits += Inside(outline, static_cast<double>(x) + (i + 0.5) / kSamples,
                         static_cast<double>(y) + (j + 0.5) / kSamples);
        }
      }
      const double sampled = static_cast<double>(hits) / (kSamples * kSamples);
      worst = std::max(worst,
                       std::abs(sampled - double{coverage.row(0, y - region.y0)[x - region.x0]}));
    }
  }
  CHECK(worst < 0.02);
}

TEST_CASE("Polygon coverage: upright half planes", "[image][closed-form]") {
  const RectPx region{0, 0, 8, 6};
  for (const double edge : {0.0, 0.25, 3.0, 3.7, 7.999, 8.0}) {
    const auto left = PolygonCoverage(Outline{{-5, -5}, {edge, -5}, {edge, 20}, {-5, 20}}, region);
    const auto above = PolygonCoverage(Outline{{-5, -5}, {20, -5}, {20, edge}, {-5, edge}}, region);
    for (int64_t y = 0; y < 6; ++y) {
      for (int64_t x = 0; x < 8; ++x) {
        CHECK(left.row(0, y)[x] ==
              Approx(std::clamp(edge - static_cast<double>(x), 0.0, 1.0)).margin(1e-6));
        CHECK(above.row(0, y)[x] ==
              Approx(std::clamp(edge - static_cast<double>(y), 0.0, 1.0)).margin(1e-6));
      }
    }
  }
}

TEST_CASE("Polygon coverage: a diagonal halves its pixels", "[image][closed-form]") {
  const auto coverage = PolygonCoverage(Outline{{0, 0}, {5, 5}, {0, 5}}, {0, 0, 5, 5});
  for (int64_t y = 0; y < 5; ++y) {
    for (int64_t x = 0; x < 5; ++x) {
      CHECK(coverage.row(0, y)[x] == (x == y ? 0.5f : x < y ? 1.0f : 0.0f));
    }
  }
}

// Limit   5e-7 a pixel of the edge: values are floats, and what is nearer than 1e-6 to 0 or 1 is put there.
TEST_CASE("Polygon coverage: areas of turned squares and many-sided polygons add up",
          "[image][closed-form]") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> shift(-1, 1);
  for (const int corners : {3, 4, 5, 64, 360}) {
    for (int trial = 0; trial < 20; ++trial) {
      const double radius = 4 + 10 * std::abs(shift(random));
      const Outline outline =
          RegularPolygon({20 + shift(random), 20 + shift(random)}, radius, corners, shift(random));
      const double area = ShoelaceArea(outline);
      CHECK(area ==
            Approx(corners * radius * radius / 2 * std::sin(2 * std::numbers::pi / corners)));
      const double limit = 5e-7 * 2 * std::numbers::pi * radius;
      CHECK(std::abs(Total(PolygonCoverage(outline, {0, 0, 40, 40})) - area) < limit);
      const Outline reversed(outline.rbegin(), outline.rend());
      CHECK(std::abs(Total(PolygonCoverage(reversed, {0, 0, 40, 40})) - area) < limit);
    }
  }
}

TEST_CASE("Polygon coverage: every pixel against samples", "[image][reference]") {
  const RectPx region{10, 5, 34, 25};
  CheckAgainstSamples(RegularPolygon({22, 15}, 8.3, 4, 0.4), region);
  CheckAgainstSamples(RegularPolygon({22, 15}, 30, 3, 0.1), region);
  CheckAgainstSamples({{12.2, 7.1}, {33.9, 6.4}, {30.1, 24.7}, {13.3, 21.9}}, region);
  CheckAgainstSamples({{12, 7}, {33, 7}, {20, 11}, {33, 23}, {12, 23}}, region);        // dented
  CheckAgainstSamples({{15.1, 5.2}, {15.6, 5.2}, {29.3, 24.6}, {28.7, 24.6}}, region);  // a sliver
}

TEST_CASE("Polygon coverage: outlines far outside the region on every side", "[image][reference]") {
  const RectPx region{0, 0, 16, 12};
  for (const double far : {20.0, 1000.0, 1e6}) {
    INFO("reach " << far);
    const Outline around{{-far, -far}, {far, -far}, {far, far}, {-far, far}};
    CHECK(Total(PolygonCoverage(around, region)) == 16 * 12);
    CheckAgainstSamples({{-far, 3.3}, {far, 8.1}, {far, far}, {-far, far}}, region);
    CheckAgainstSamples({{-far, -far}, {far, -far}, {5.5, 20}, {-far, far}}, region);
    CheckAgainstSamples({{3.2, -far}, {9.9, -far}, {12.4, far}, {5.1, far}}, region);
    CheckAgainstSamples({{-far, 2.2}, {7.7, -far}, {far, 9.5}, {8.8, far}}, region);
  }
  const auto beside = [&](double dx, double dy) {
    return Total(PolygonCoverage(RegularPolygon({8 + dx, 6 + dy}, 5, 4, 0.3), region));
  };
  CHECK(beside(40, 0) == 0);
  CHECK(beside(-40, 0) == 0);
  CHECK(beside(0, 40) == 0);
  CHECK(beside(0, -40) == 0);
}

TEST_CASE("Polygon coverage: a part of a region has the bits of the whole", "[image][invariant]") {
  const Outline outline = RegularPolygon({15.3, 14.1}, 11.7, 7, 0.2);
  const auto whole = PolygonCoverage(outline, {0, 0, 32, 32});
  const auto part = PolygonCoverage(outline, {7, 9, 25, 20});
  double worst = 0;
  for (int64_t y = 9; y < 20; ++y) {
    for (int64_t x = 7; x < 25; ++x) {
      worst =
          std::max(worst, std::abs(double{whole.row(0, y)[x]} - double{part.row(0, y - 9)[x - 7]}));
    }
  }
  CHECK(worst < 1e-6);
}

// One outline that goes round two squares which overlap: where both lie, areas end at 1.
TEST_CASE("Polygon coverage: a doubled area counts once", "[image][closed-form]") {
  const Outline twice{{2, 2}, {8, 2}, {8, 8}, {2, 8}, {2, 2}, {8, 2}, {8, 8}, {2, 8}};
  CHECK(Total(PolygonCoverage(twice, {0, 0, 10, 10})) == 36);
  const Outline two{{1, 1}, {6, 1}, {6, 6}, {1, 6}, {1, 1}, {4, 4}, {9, 4}, {9, 9}, {4, 9}, {4, 4}};
  CHECK(Total(PolygonCoverage(two, {0, 0, 10, 10})) == 25 + 25 - 4);
}

TEST_CASE("Polygon coverage: nothing to cover", "[image][closed-form]") {
  CHECK(Total(PolygonCoverage(Outline{}, {0, 0, 4, 4})) == 0);
  CHECK(Total(PolygonCoverage(Outline{{1, 1}, {3, 3}}, {0, 0, 4, 4})) == 0);
  CHECK(PolygonCoverage(Outline{{0, 0}, {4, 0}, {4, 4}}, {2, 2, 2, 5}).size().area() == 0);
}

}  // namespace
}  // namespace wheatpaste
