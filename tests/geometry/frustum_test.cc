#include "geometry/frustum.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>

#include <Eigen/Dense>

namespace wheatpaste {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDegrees = 180 / kPi;

const FrustumSize kShapes[] = {{80, 56, 95},      {56, 80, 95},  {80, 80, 96},
                               {80, 79.9999, 95}, {300, 20, 40}, {20, 300, 40}};

}  // namespace

// Source  the net of diameters 5 and 8, height 4, as published at ceemrr.com (Net of a Frustum): 7.12, 11.39,
//         126.4 degrees; the longer digits are reference checks K01, K02.
TEST_CASE("Frustum: the published net of a lampshade", "[geometry][published]") {
  for (const FrustumSize& size : {FrustumSize{5, 8, 4}, FrustumSize{8, 5, 4}}) {
    const FlatSector flat = FlatSectorOf(size);
    CHECK(std::abs(flat.outer_radius - 11.39) < 0.005);
    CHECK(std::abs(flat.inner_radius - 7.12) < 0.005);
    CHECK(std::abs(flat.angle_rad * kDegrees - 126.4) < 0.05);
    CHECK(std::abs(flat.outer_radius - 11.3920049938) < 1e-9);
    CHECK(std::abs(flat.inner_radius - 7.1200031211) < 1e-9);
    CHECK(std::abs(flat.angle_rad * kDegrees - 126.4044389718) < 1e-9);
  }
}

// Source  reference checks K03, K04, with their limits.
TEST_CASE("Frustum: the net of a paper cup", "[geometry][published]") {
  const FlatSector flat = FlatSectorOf({80, 60, 95});
  CHECK(std::abs(flat.slant - 95.524866) < 1e-6);
  CHECK(std::abs(flat.inner_radius - 286.574598) < 1e-6);
  CHECK(std::abs(flat.outer_radius - 382.099463) < 1e-6);
  CHECK(std::abs(flat.angle_rad * kDegrees - 37.686522) < 1e-6);
  CHECK(std::abs(flat.outer_chord - 246.821253) < 1e-5);
  CHECK(std::abs(flat.inner_chord - 185.115940) < 1e-5);
  CHECK(std::abs(flat.height - 110.883641) < 1e-5);
  CHECK(std::abs(flat.area - 21007.015180) < 1e-5);
}

// Source  reference checks Y01 to Y03: r = 40, d = 400, f = 1000, with their limits.
TEST_CASE("Frustum: the azimuth under a pixel of a cylinder", "[geometry][published]") {
  const FrustumSize size{80, 80, 100};
  const FrustumView view(size, {0, 50, -400});
  const FlatPattern pattern(size);
  const SidePoint side = view.Along({80, 0, 1000});
  CHECK(std::abs(side.azimuth_rad * kDegrees - 48.313570) < 1e-6);
  CHECK(std::abs(pattern.FlatFromSide(side).x - 33.729235) < 1e-6);
  CHECK(std::abs(side.y_mm - 50) < 1e-12);

  const Eigen::Vector3d p = ObjectFromSide(size, {60 / kDegrees, 50});
  CHECK(std::abs(1000 * p.x() / (p.z() + 400) - 91.160568819) < 1e-8);

  CHECK(std::abs(view.limb_rad() * kDegrees - 84.260830) < 1e-6);
  const Eigen::Vector3d limb = ObjectFromSide(size, {view.limb_rad(), 50});
  CHECK(std::abs(1000 * limb.x() / (limb.z() + 400) - 100.503782) < 1e-6);
  // Beside the limb: the limb.
  CHECK(view.Along({101, 0, 1000}).azimuth_rad == view.limb_rad());
  CHECK(view.Along({-101, 0, 1000}).azimuth_rad == -view.limb_rad());
}

TEST_CASE("Frustum: side to flat and back", "[geometry][invariant]") {
  for (const FrustumSize& size : kShapes) {
    const FlatPattern pattern(size, {-12, 7});
    for (int i = -20; i <= 20; ++i) {
      for (int j = 0; j <= 10; ++j) {
        const SidePoint side{kPi * i / 20 * 0.999, size.height * j / 10};
        const SurfaceMm flat = pattern.FlatFromSide(side);
        const SidePoint back = pattern.SideFromFlat(flat);
        CHECK(std::abs(back.azimuth_rad - side.azimuth_rad) < 1e-9);
        CHECK(std::abs(back.y_mm - side.y_mm) < 1e-9);
        CHECK(flat.x > pattern.low().x - 1e-9);
        CHECK(flat.y > pattern.low().y - 1e-9);
        CHECK(flat.x < pattern.high().x + 1e-9);
        CHECK(flat.y < pattern.high().y + 1e-9);
      }
    }
  }
}

TEST_CASE("Frustum: lengths and angles on the side are those of the flat",
          "[geometry][closed-form]") {
  constexpr double kStep = 1e-5;
  for (const FrustumSize& size : kShapes) {
    const FlatPattern pattern(size);
    for (const double azimuth : {-3.0, -1.0, 0.0, 0.4, 2.5}) {
      for (const double y : {0.1, 0.5, 0.9}) {
        const auto change = [&](auto of) {
          const SidePoint p{azimuth, y * size.height};
          Eigen::MatrixXd columns(of(p).size(), 2);
          columns.col(0) =
              (of({p.azimuth_rad + kStep, p.y_mm}) - of({p.azimuth_rad - kStep, p.y_mm})) /
              (2 * kStep);
          columns.col(1) =
              (of({p.azimuth_rad, p.y_mm + kStep}) - of({p.azimuth_rad, p.y_mm - kStep})) /
              (2 * kStep);
          return columns;
        };
        const Eigen::MatrixXd space =
            change([&](const SidePoint& p) -> Eigen::VectorXd { return ObjectFromSide(size, p); });
        const Eigen::MatrixXd flat = change([&](const SidePoint& p) -> Eigen::VectorXd {
          return pattern.FlatFromSide(p).vector();
        });
        // Central differences of lengths of some 100 mm: rounding 1e-14 * 1e2 / 1e-5, times lengths.
        CHECK((space.transpose() * space - flat.transpose() * flat).norm() <
              1e-7 * (space.transpose() * space).norm());
        // Not mirrored: to the right and down.
        CHECK(flat(0, 0) * flat(1, 1) - flat(0, 1) * flat(1, 0) > 0);
      }
    }
  }
}

TEST_CASE("Frustum: the flat pattern stands upright on its centre line",
          "[geometry][closed-form]") {
  for (const FrustumSize& size : kShapes) {
    const FlatPattern pattern(size);
    const SurfaceMm middle = pattern.FlatFromSide({0, size.height / 2});
    CHECK(std::abs(middle.x) < 1e-12);
    CHECK(std::abs(middle.y) < 1e-12);
    CHECK(std::abs(pattern.FlatFromSide({0, 0}).y + size.slant() / 2) < 1e-12);
    CHECK(std::abs(pattern.FlatFromSide({0, size.height}).y - size.slant() / 2) < 1e-12);
    CHECK(pattern.FlatFromSide({0.1, size.height / 2}).x > 0);
  }
  // A cup's lower corners hang below its middle, a lampshade's upper ones stand above.
  CHECK(FlatPattern({80, 56, 95}).FlatFromSide({3, 95}).y > 50);
  CHECK(FlatPattern({56, 80, 95}).FlatFromSide({3, 0}).y < -50);
}

TEST_CASE("Frustum: diameters that nearly agree give the cylinder's flat",
          "[geometry][closed-form]") {
  const FlatPattern cylinder({80, 80, 95});
  for (const double more : {1e-5, 1e-7, 3e-9, 1e-12}) {
    const FlatPattern cone({80, 80 * (1 + more), 95});
    const SidePoint side{2.5, 20};
    const Eigen::Vector2d miss =
        cone.FlatFromSide(side).vector() - cylinder.FlatFromSide(side).vector();
    CHECK(miss.norm() < 200 * more + 1e-12);  // of the order of the circumference times the share
  }
}

TEST_CASE("Frustum: a ray to a point of the side that is seen comes back with it",
          "[geometry][invariant]") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> share(0, 1);
  int seen = 0;
  for (int trial = 0; trial < 3000; ++trial) {
    const FrustumSize& size = kShapes[static_cast<size_t>(trial) % std::size(kShapes)];
    const double height = size.height * (8 * share(random) - 4);
    const double away = 1 + 600 * share(random) * share(random);
    const Eigen::Vector3d camera(0, height, -away);
    const FrustumView view(size, camera);
    const SidePoint side{kPi * (2 * share(random) - 1), size.height * share(random)};
    const Eigen::Vector3d p = ObjectFromSide(size, side);
    // Whether it is seen, from the tangents: the normal is their cross product.
    const double t = side.azimuth_rad, k = size.SlopeOfRadius();
    const Eigen::Vector3d around(std::cos(t), 0, std::sin(t)),
        down(k * std::sin(t), 1, -k * std::cos(t));
    const double facing = down.cross(around).dot(camera - p);
    CHECK((facing > 0) == (std::abs(t) < view.limb_rad()));
    if (facing < 1e-3 * (camera - p).norm()) continue;
    ++seen;
    const SidePoint back = view.Along((p - camera) * (0.1 + share(random)));
    CHECK(std::abs(back.azimuth_rad - side.azimuth_rad) < 1e-7);
    CHECK(std::abs(back.y_mm - side.y_mm) < 1e-6);
  }
  CHECK(seen > 800);
}

TEST_CASE("Frustum: every ray gives finite numbers", "[geometry][invariant]") {
  for (const FrustumSize& size : kShapes) {
    for (const double height : {-500.0, -10.0, 40.0, 900.0}) {
      for (const double away : {0.0, 20.0, 400.0}) {
        const FrustumView view(size, {0, height, -away});
        for (int i = -3; i <= 3; ++i) {
          for (int j = -3; j <= 3; ++j) {
            for (int l = -1; l <= 1; ++l) {
              const SidePoint side = view.Along(Eigen::Vector3d(i, j, l));
              CHECK(std::isfinite(side.azimuth_rad));
              CHECK(std::isfinite(side.y_mm));
            }
          }
        }
      }
    }
  }
}

}  // namespace wheatpaste
