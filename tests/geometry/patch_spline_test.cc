#include "geometry/patch_spline.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <vector>

#include <Eigen/Dense>

namespace wheatpaste {
namespace {

using Shape = std::function<PhotoPx(const SurfaceMm&)>;

std::vector<PhotoPx> Sample(const Shape& shape, int columns, int rows, SurfaceMm size) {
  std::vector<PhotoPx> points;
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < columns; ++column) {
      points.push_back(shape({size.x * column / (columns - 1), size.y * row / (rows - 1)}));
    }
  }
  return points;
}

PatchSpline SplineOf(const Shape& shape, int columns, int rows, SurfaceMm size) {
  return PatchSpline(columns, rows, Sample(shape, columns, rows, size), size);
}

double Distance(const PhotoPx& a, const PhotoPx& b) { return std::hypot(a.x - b.x, a.y - b.y); }
double Distance(const SurfaceMm& a, const SurfaceMm& b) { return std::hypot(a.x - b.x, a.y - b.y); }

constexpr SurfaceMm kSize{300, 200};

// A flag: waves across, more to the right, seen from the front with some perspective.
PhotoPx Flag(const SurfaceMm& mm) {
  const double depth = 1000 + 25 * std::sin(mm.x / 40) * (0.3 + mm.x / 300) + 0.4 * mm.x;
  return {600 + 2600 * (mm.x - 150) / depth,
          400 + 2600 * (mm.y - 100) / depth + 8 * std::sin(mm.x / 50)};
}

// Limit  1e-9 px: a thousand roundings of numbers of some thousand px.
TEST_CASE("Patch spline: a flat sheet in perspective is exact", "[geometry][closed-form]") {
  Eigen::Matrix3d h;
  h << 3.1, 0.4, 210, -0.3, 2.8, 160, 9e-4, 4e-4, 1;
  const Map<PhotoPx, SurfaceMm> truth(h);
  for (const auto& [columns, rows] : {std::pair{2, 2}, {3, 2}, {3, 3}, {4, 5}, {7, 5}, {16, 16}}) {
    CAPTURE(columns, rows);
    const PatchSpline spline = SplineOf(truth, columns, rows, kSize);
    double most = 0, most_slope = 0;
    for (int i = -5; i <= 105; ++i) {
      for (int j = -5; j <= 105; ++j) {
        const SurfaceMm mm{kSize.x * j / 100, kSize.y * i / 100};
        const PatchSpline::Local local = spline.At(mm);
        most = std::max(most, Distance(local.photo, truth(mm)));
        most_slope =
            std::max(most_slope, (local.jacobian - truth.Jacobian(mm)).cwiseAbs().maxCoeff());
      }
    }
    CHECK(most < 1e-9);
    CHECK(most_slope < 1e-10);
  }
}

TEST_CASE("Patch spline: passes through every mark", "[geometry][closed-form]") {
  std::mt19937 random(11);
  std::normal_distribution<double> noise(0, 6);
  for (const auto& [columns, rows] : {std::pair{2, 2}, {2, 9}, {3, 3}, {5, 4}, {16, 16}}) {
    auto points = Sample(Flag, columns, rows, kSize);
    for (PhotoPx& p : points) p = {p.x + noise(random), p.y + noise(random)};
    const PatchSpline spline(columns, rows, points, kSize);
    for (int row = 0; row < rows; ++row) {
      for (int column = 0; column < columns; ++column) {
        CAPTURE(columns, rows, row, column);
        CHECK(Distance(spline(spline.MarkAt(row, column)),
                       points[static_cast<size_t>(row * columns + column)]) < 1e-9);
      }
    }
  }
}

// Derivatives against central differences: their own error is step^2 / 6 times the third derivative, here below
// 1e-9 times some px a cubed mm, and rounding 1e-12 / step.
TEST_CASE("Patch spline: the Jacobian is the derivative", "[geometry][closed-form]") {
  const PatchSpline spline = SplineOf(Flag, 7, 5, kSize);
  constexpr double kStep = 1e-4;
  for (const SurfaceMm& mm :
       {SurfaceMm{12, 31}, {149, 77}, {288, 190}, {-4, 20}, {305, 204}, {150, -3}}) {
    const Eigen::Matrix2d j = spline.At(mm).jacobian;
    const Eigen::Vector2d dx =
        (spline({mm.x + kStep, mm.y}).vector() - spline({mm.x - kStep, mm.y}).vector()) /
        (2 * kStep);
    const Eigen::Vector2d dy =
        (spline({mm.x, mm.y + kStep}).vector() - spline({mm.x, mm.y - kStep}).vector()) /
        (2 * kStep);
    CHECK((j.col(0) - dx).norm() < 1e-7);
    CHECK((j.col(1) - dy).norm() < 1e-7);
  }
}

// Marks moved at random, so that cells have nothing in common but the spline's own continuity. Limits: values,
// slopes and curvatures either side of a cell's border, 2e-7 mm apart, differ by the slope of each times that.
TEST_CASE("Patch spline: value, slope and curvature are continuous across cells",
          "[geometry][closed-form]") {
  std::mt19937 random(5);
  std::normal_distribution<double> noise(0, 10);
  constexpr int kColumns = 6, kRows = 5;
  auto points = Sample(Flag, kColumns, kRows, kSize);
  for (PhotoPx& p : points) p = {p.x + noise(random), p.y + noise(random)};
  const PatchSpline spline(kColumns, kRows, points, kSize);
  constexpr double kSide = 1e-7, kStep = 1e-3;
  const auto compare = [&](const SurfaceMm& at, const SurfaceMm& across) {
    const auto moved = [&](double by) {
      return SurfaceMm{at.x + by * across.x, at.y + by * across.y};
    };
    const auto before = spline.At(moved(-kSide)), after = spline.At(moved(kSide));
    CHECK(Distance(before.photo, after.photo) < 1e-5);
    CHECK((before.jacobian - after.jacobian).cwiseAbs().maxCoeff() < 1e-6);
    // One-sided curvature: change of the slope within one cell, over the step. The third derivative here stays
    // below 0.01 px / mm^3, so steps of 1e-3 mm leave 1e-5; a jump of a spline that is only C1 is far larger.
    const Eigen::Matrix2d left =
        (spline.At(moved(-kSide)).jacobian - spline.At(moved(-kSide - kStep)).jacobian) / kStep;
    const Eigen::Matrix2d right =
        (spline.At(moved(kSide + kStep)).jacobian - spline.At(moved(kSide)).jacobian) / kStep;
    CHECK((left - right).cwiseAbs().maxCoeff() < 1e-4);
  };
  for (int i = 1; i + 1 < kColumns; ++i) {
    for (const double y : {3.0, 50.0, 117.0, 199.0}) {
      compare({kSize.x * i / (kColumns - 1), y}, {1, 0});
    }
  }
  for (int i = 1; i + 1 < kRows; ++i) {
    for (const double x : {3.0, 60.0, 155.0, 299.0}) {
      compare({x, kSize.y * i / (kRows - 1)}, {0, 1});
    }
  }
  // Beyond the edge the slope goes on.
  const auto within = spline.At({0, 90}), beyond = spline.At({-1e-7, 90});
  CHECK((within.jacobian - beyond.jacobian).cwiseAbs().maxCoeff() < 1e-6);
}

TEST_CASE("Patch spline: the inverse returns, from starts all over the sheet",
          "[geometry][invariant]") {
  const PatchSpline spline = SplineOf(Flag, 7, 5, kSize);
  REQUIRE(spline.LeastDeterminant().determinant > 0.1);
  std::mt19937 random(3);
  std::uniform_real_distribution<double> share(-0.02, 1.02);
  double most = 0;
  for (int i = 0; i < 5000; ++i) {
    const SurfaceMm mm{kSize.x * share(random), kSize.y * share(random)};
    const SurfaceMm start{kSize.x * share(random), kSize.y * share(random)};
    const PatchSpline::Inverse found = spline.Invert(spline(mm), start);
    REQUIRE(found.converged);
    most = std::max(most, Distance(found.mm, mm));
  }
  CHECK(most < 1e-6);
}

TEST_CASE("Patch spline: a point far beside the sheet is told as such", "[geometry][bad-input]") {
  const PatchSpline spline = SplineOf(Flag, 4, 4, kSize);
  const PatchSpline::Inverse found = spline.Invert({9000, -4000}, {150, 100});
  CHECK_FALSE(found.converged);
  CHECK(std::isfinite(found.mm.x));
  CHECK(std::isfinite(found.mm.y));
}

// Peano's theorem (Davis 1975, Interpolation and Approximation, section 3.7): an interpolation N that reproduces
// cubics misses f by the integral of K(x, t) f''''(t) dt, K(x, t) = ((x - t)^3+ - N[(. - t)^3+](x)) / 6, so by at
// most max over x of the integral of |K| times max |f''''|. Here N is the not-a-knot spline through n points at
// 0, 1, .., n - 1, built apart from the code under test: from 1, x, x^2, x^3 and (x - k)^3+, k = 2 .. n - 3.
struct PeanoConstants {
  double error = 0;     // max over x of the integral of |K|
  double lebesgue = 0;  // max over x of the sum of |cardinal splines|
};
PeanoConstants NotAKnot(int n) {
  const auto cube = [](double x) { return x > 0 ? x * x * x : 0; };
  const auto basis = [&](double x) {
    Eigen::VectorXd b(n);
    b.head<4>() << 1, x, x * x, x * x * x;
    for (int k = 2; k <= n - 3; ++k) b(k + 2) = cube(x - k);
    return b;
  };
  Eigen::MatrixXd at_knots(n, n);
  for (int i = 0; i < n; ++i) at_knots.row(i) = basis(i).transpose();
  const Eigen::MatrixXd inverse = at_knots.inverse();
  PeanoConstants constants;
  constexpr int kSteps = 40, kIntegration = 400;
  for (int i = 0; i <= kSteps * (n - 1); ++i) {
    const double x = static_cast<double>(i) / kSteps;
    const Eigen::VectorXd cardinal = (basis(x).transpose() * inverse).transpose();
    constants.lebesgue = std::max(constants.lebesgue, cardinal.cwiseAbs().sum());
    double integral = 0;
    for (int k = 0; k < kIntegration * (n - 1); ++k) {
      const double t = (k + 0.5) / kIntegration;
      double kernel = cube(x - t);
      for (int knot = 0; knot < n; ++knot) kernel -= cardinal(knot) * cube(knot - t);
      integral += std::abs(kernel) / 6 / kIntegration;
    }
    constants.error = std::max(constants.error, integral);
  }
  return constants;
}

// A cylinder of radius 400 px in the picture, 120 degrees of it, its axis upright, seen from afar: x = 400 sin(a)
// over even steps of a, y straight. By symmetry the fitted map is affine, so the spline carries the fourth
// derivative of 400 sin(a), at most 400; the 7 points stand 20 degrees apart. Peano's bound is 0.21 px (c = 0.0350),
// 0.11 px is reached: the lower limit shows that the bound says something.
TEST_CASE("Patch spline: a cylinder of 7 x 5 marks lies within Peano's bound",
          "[geometry][closed-form]") {
  constexpr double kRadius = 400, kSpan = 120 * std::numbers::pi / 180;
  const Shape cylinder = [](const SurfaceMm& mm) {
    const double angle = (mm.x / kSize.x - 0.5) * kSpan;
    return PhotoPx{700 + kRadius * std::sin(angle), 300 + 2 * mm.y};
  };
  const PatchSpline spline = SplineOf(cylinder, 7, 5, kSize);
  double most = 0;
  for (int i = 0; i <= 600; ++i) {
    for (const double y : {0.0, 33.0, 100.0, 187.0}) {
      const SurfaceMm mm{kSize.x * i / 600, y};
      most = std::max(most, Distance(spline(mm), cylinder(mm)));
    }
  }
  const double bound = NotAKnot(7).error * std::pow(kSpan / 6, 4) * kRadius;
  CAPTURE(most, bound);
  CHECK(most <= bound);
  CHECK(most > bound / 4);
}

// The same with a camera close by. Errors of the two axes add, the second spread by the first's interpolation:
// |f - N f| <= c_u h_u^4 max |d4 f / du4| + L_u c_v h_v^4 max |d4 f / dv4|, L the Lebesgue constant; f is what the
// fitted map misses, its derivatives from fine central differences.
TEST_CASE("Patch spline: a cylinder close to the camera lies within Peano's bound",
          "[geometry][closed-form]") {
  constexpr double kRadiusMm = 40, kFocal = 1500, kDistance = 250;
  const double span =
      kSize.x / 4 / kRadiusMm;  // 107 degrees of a cylinder 75 mm around, 50 mm high
  const Shape cylinder = [&](const SurfaceMm& mm) {
    const double angle = (mm.x / kSize.x - 0.5) * span;
    const double x = kRadiusMm * std::sin(angle), z = kDistance - kRadiusMm * std::cos(angle);
    const double y = (mm.y - 100) / 4;
    // Tilted by 0.3 rad about x.
    const double yy = std::cos(0.3) * y - std::sin(0.3) * (z - kDistance);
    const double zz = kDistance + std::sin(0.3) * y + std::cos(0.3) * (z - kDistance);
    return PhotoPx{800 + kFocal * x / zz, 600 + kFocal * yy / zz};
  };
  const PatchSpline spline = SplineOf(cylinder, 7, 5, kSize);
  const Map<PhotoPx, SurfaceMm> flat = spline.flat();
  const double hu = kSize.x / 6, hv = kSize.y / 4;
  const auto fourth = [](const Shape& f, const SurfaceMm& at, double du, double dv) {
    const auto value = [&](int k) { return f({at.x + k * du, at.y + k * dv}).vector(); };
    return Eigen::Vector2d(value(-2) - 4 * value(-1) + 6 * value(0) - 4 * value(1) + value(2));
  };
  const Shape missed = [&](const SurfaceMm& mm) {
    const PhotoPx truth = cylinder(mm), plane = flat(mm);
    return PhotoPx{truth.x - plane.x, truth.y - plane.y};
  };
  double most = 0;
  Eigen::Vector2d most_u = Eigen::Vector2d::Zero(), most_v = most_u;
  constexpr double kPart = 0.05;  // of a cell, the difference's step
  const double to_cell = std::pow(kPart, -4);
  for (int i = 0; i <= 60; ++i) {
    for (int j = 0; j <= 60; ++j) {
      const SurfaceMm mm{kSize.x * j / 60, kSize.y * i / 60};
      most = std::max(most, Distance(spline(mm), cylinder(mm)));
      most_u = most_u.cwiseMax(to_cell * fourth(missed, mm, hu * kPart, 0).cwiseAbs());
      most_v = most_v.cwiseMax(to_cell * fourth(missed, mm, 0, hv * kPart).cwiseAbs());
    }
  }
  const PeanoConstants across = NotAKnot(7), down = NotAKnot(5);
  const double bound = (across.error * most_u + across.lebesgue * down.error * most_v).norm();
  CAPTURE(most, bound, across.error, down.error, across.lebesgue);
  CHECK(most <= bound);
  CHECK(most > bound / 4);
}

TEST_CASE("Patch spline: an even sheet has determinant 1 everywhere", "[geometry][closed-form]") {
  const Shape even = [](const SurfaceMm& mm) { return PhotoPx{50 + 3 * mm.x, 20 + 2 * mm.y}; };
  CHECK(SplineOf(even, 5, 4, kSize).LeastDeterminant().determinant == Approx(1).margin(1e-9));
}

// A column of marks is pushed far to the right in a wide grid; between two marks that stay in order the spline
// swings back. Corners of each cell look fine: the quadrilateral of the marks turns clockwise at all four.
TEST_CASE("Patch spline: a fold within a cell is found where corners look fine",
          "[geometry][closed-form]") {
  constexpr int kColumns = 7, kRows = 3;
  std::vector<PhotoPx> points;
  for (int row = 0; row < kRows; ++row) {
    for (const double x : {0.0, 100.0, 200.0, 203.0, 400.0, 500.0, 600.0}) {
      points.push_back({x, 100.0 * row});
    }
  }
  const PatchSpline spline(kColumns, kRows, points, kSize);
  const PatchSpline::Turning least = spline.LeastDeterminant();
  CHECK(least.determinant < 0);
  CHECK(least.column == 2);
  // At the marks themselves it does not turn.
  for (int row = 0; row < kRows; ++row) {
    for (int column = 0; column < kColumns; ++column) {
      CHECK(spline.At(spline.MarkAt(row, column)).jacobian.determinant() > 0);
    }
  }
  // Where it says so, the sheet does turn.
  CHECK(spline.At(least.mm).jacobian.determinant() < 0);
}

}  // namespace
}  // namespace wheatpaste
