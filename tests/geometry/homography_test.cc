#include "geometry/homography.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <Eigen/Dense>

#include "support.h"

namespace wheatpaste {
namespace {

using test::ReadCsv;
using test::SourcePath;

struct FirstSpace {};
struct ThirdSpace {};
using FirstPx = Point<FirstSpace>;
using ThirdPx = Point<ThirdSpace>;

Eigen::Matrix3d GrafMatrix() {
  Eigen::Matrix3d h;
  h << 0.76285898, -0.29922929, 225.67123,  //
      0.33443473, 1.0143901, -76.999973,    //
      3.4663091e-4, -1.4364524e-5, 1;
  return h;
}

double Gauss(std::mt19937& random) {
  std::normal_distribution<double> normal;
  return normal(random);
}

// Source  opencv/opencv samples/data/H1to3p.xml (graf1 to graf3, Oxford VGG); H02-H05 computed from it.
// Taken   H01-H05, in tests/published/homography_graf.csv.
// Limit   1e-6 px, as listed there; the last printed digit of H01 is 1e-6.
TEST_CASE("Map: the published graf matrix takes points where the table says",
          "[geometry][published]") {
  const Map<ThirdPx, FirstPx> third_from_first(GrafMatrix());
  const auto rows = ReadCsv(SourcePath("tests/published/homography_graf.csv"));
  REQUIRE(rows.size() == 5);
  for (const auto& row : rows) {
    INFO(row[0]);
    const FirstPx first{std::stod(row[1]), std::stod(row[2])};
    const ThirdPx third = third_from_first(first);
    CHECK(third.x == Approx(std::stod(row[3])).margin(1e-6));
    CHECK(third.y == Approx(std::stod(row[4])).margin(1e-6));
    const FirstPx back = third_from_first.Inverse()(third);
    CHECK(back.x == Approx(first.x).margin(1e-9));
    CHECK(back.y == Approx(first.y).margin(1e-9));
  }
}

TEST_CASE("Map: the Jacobian is the limit of differences", "[geometry][closed-form]") {
  const Map<ThirdPx, FirstPx> map(GrafMatrix());
  const FirstPx at{310, 420};
  const Eigen::Matrix2d jacobian = map.Jacobian(at);
  constexpr double kStep = 1e-3;  // differences are then good to about 1e-9
  for (int axis = 0; axis < 2; ++axis) {
    const double dx = axis == 0 ? kStep : 0, dy = axis == 1 ? kStep : 0;
    const Eigen::Vector2d slope =
        (map({at.x + dx, at.y + dy}).vector() - map({at.x - dx, at.y - dy}).vector()) / (2 * kStep);
    CHECK((jacobian.col(axis) - slope).norm() < 1e-8);
  }
}

struct Spread {
  double residual = 0;  // root mean square per coordinate
  double to_truth = 0;
};

// 400 trials: n points over the 800 x 640 picture, noise of 1 px on each coordinate of the target.
Spread RunTrials(int n) {
  std::mt19937 random(20040601);
  std::uniform_real_distribution<double> across(0, 800), down(0, 640);
  const Map<ThirdPx, FirstPx> truth(GrafMatrix());
  Spread sum;
  constexpr int kTrials = 400;
  for (int trial = 0; trial < kTrials; ++trial) {
    std::vector<PointPair> pairs;
    std::vector<Eigen::Vector2d> exact;
    for (int i = 0; i < n; ++i) {
      const FirstPx p{across(random), down(random)};
      exact.push_back(truth(p).vector());
      pairs.push_back({p.vector(), exact.back() + Eigen::Vector2d(Gauss(random), Gauss(random))});
    }
    const auto fit = FitHomography(pairs);
    REQUIRE(fit);
    const Map<ThirdPx, FirstPx> fitted(fit->target_from_source);
    for (size_t i = 0; i < pairs.size(); ++i) {
      const Eigen::Vector2d seen = fitted({pairs[i].source.x(), pairs[i].source.y()}).vector();
      sum.residual += (seen - pairs[i].target).squaredNorm();
      sum.to_truth += (seen - exact[i]).squaredNorm();
    }
  }
  const double coordinates = 2.0 * n * kTrials;
  return {std::sqrt(sum.residual / coordinates), std::sqrt(sum.to_truth / coordinates)};
}

// Source  Hartley, Zisserman 2004, section 5.1.3: sqrt(1 - 4/n) and sqrt(4/n) of the noise.
// Taken   H06-H08. Limit   2 % (residual) and 3 % (distance to truth) over 400 trials.
TEST_CASE("Homography fit: reaches the bound that noise sets", "[geometry][published]") {
  CHECK(RunTrials(10).residual == Approx(0.774597).epsilon(0.02));
  const Spread fifty = RunTrials(50);
  CHECK(fifty.residual == Approx(0.959166).epsilon(0.02));
  CHECK(fifty.to_truth == Approx(0.282843).epsilon(0.03));
}

TEST_CASE("Homography fit: four exact pairs return to their places", "[geometry][closed-form]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> off(-120, 120);
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<PointPair> pairs;
    for (const auto& corner : {Eigen::Vector2d(0, 0), Eigen::Vector2d(420, 0),
                               Eigen::Vector2d(420, 594), Eigen::Vector2d(0, 594)}) {
      pairs.push_back({corner, 2 * corner + Eigen::Vector2d(500 + off(random), 200 + off(random))});
    }
    const auto fit = FitHomography(pairs);
    REQUIRE(fit);
    CHECK(fit->residual < 1e-9);
    const Map<PhotoPx, SurfaceMm> photo_from_surface(fit->target_from_source);
    for (const PointPair& pair : pairs) {
      const SurfaceMm mm{pair.source.x(), pair.source.y()};
      CHECK(photo_from_surface.Depth(mm) > 0);
      CHECK((photo_from_surface(mm).vector() - pair.target).norm() < 1e-9);
      const PhotoPx px{pair.target.x(), pair.target.y()};
      CHECK((photo_from_surface.Inverse()(px).vector() - pair.source).norm() < 1e-9);
    }
  }
}

TEST_CASE("Homography fit: points that fix no map give none", "[geometry][bad-input]") {
  const std::vector<Eigen::Vector2d> square{{0, 0}, {1, 0}, {1, 1}, {0, 1}};
  const auto fit = [&](const std::vector<Eigen::Vector2d>& source,
                       const std::vector<Eigen::Vector2d>& target) {
    std::vector<PointPair> pairs;
    for (size_t i = 0; i < source.size(); ++i) pairs.push_back({source[i], target[i]});
    return FitHomography(pairs);
  };
  const std::vector<Eigen::Vector2d> line{{0, 0}, {10, 10}, {20, 20}, {30, 30}};
  const std::vector<Eigen::Vector2d> three_on_a_line{{0, 0}, {10, 10}, {20, 20}, {0, 30}};
  const std::vector<Eigen::Vector2d> twice{{0, 0}, {100, 0}, {100, 0}, {0, 100}};
  const std::vector<Eigen::Vector2d> one(4, Eigen::Vector2d(5, 5));
  CHECK_FALSE(fit(square, line));
  CHECK_FALSE(fit(line, square));
  CHECK_FALSE(fit(square, three_on_a_line));
  CHECK_FALSE(fit(three_on_a_line, square));
  CHECK_FALSE(fit(square, twice));
  CHECK_FALSE(fit(twice, square));
  CHECK_FALSE(fit(square, one));
  CHECK_FALSE(fit(one, square));
  // Crossed: the map's horizon runs between the points.
  CHECK_FALSE(fit(square, {{0, 0}, {100, 100}, {100, 0}, {0, 100}}));
}

}  // namespace
}  // namespace wheatpaste
