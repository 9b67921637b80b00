// The normals of every kind of chart, against closed forms.

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <memory>
#include <numbers>
#include <vector>

#include <Eigen/Geometry>

#include "surface/frustum_chart.h"
#include "surface/made_rims.h"
#include "surface/mark_rims.h"
#include "surface/marked_scene.h"
#include "surface/mesh_chart.h"
#include "surface/mesh_normals.h"

namespace wheatpaste {
namespace {

using namespace test;

constexpr double kPi = std::numbers::pi;
const TrueCamera kTruth{1500, {640, 480}};

TruePose Turned() {
  TruePose pose;
  pose.rotation = TurnBy({0.4, 0, 0}) * TurnBy({0, 0.6, 0});
  pose.translation = {20, -60, 900};
  return pose;
}

Eigen::Vector3d At(const Image<NormalPlanes>& normals, int64_t x, int64_t y) {
  return {normals.row(0, y)[x], normals.row(1, y)[x], normals.row(2, y)[x]};
}

Image<NormalPlanes> MustTell(const Chart& chart, SizePx photo, const RectPx& region) {
  auto normals = chart.Normals(FramePhoto(photo, photo), region);
  REQUIRE(normals);
  REQUIRE(normals->size() == SizePx{region.width(), region.height()});
  return std::move(*normals);
}

// The pixel that holds a photo point, and how its own centre's ray may differ: tests allow one pixel's turn.
RectPx PixelOf(const PhotoPx& at) {
  const auto x = static_cast<int64_t>(std::floor(at.x)), y = static_cast<int64_t>(std::floor(at.y));
  return {x, y, x + 1, y + 1};
}

}  // namespace

TEST_CASE("Chart normals: a plane's is its pose's, from corners alone too",
          "[surface][closed-form]") {
  const TruePose pose = Turned();
  const Eigen::Vector3d truth = -pose.rotation.col(2);
  REQUIRE(truth.dot(pose.translation) < 0);
  for (const bool sized : {true, false}) {
    const auto corners = PictureOfRectangle(kTruth, pose, 420, 300);
    const FittedSurface plane = MustSolve(
        WithFocal(1500), sized ? PlaneOf(corners, SurfaceMm{420, 300}) : PlaneOf(corners));
    const auto normals = MustTell(*plane.faces[0].charts[0], kPhoto, {-3, 5, 40, 9});
    for (const int64_t x : {0, 42}) {
      CHECK((At(normals, x, 3) - truth).norm() < 1e-5);
      CHECK(At(normals, x, 3).norm() == Approx(1).margin(1e-6));
    }
  }
}

TEST_CASE("Chart normals: of a box's faces, square to each other and to its axes",
          "[surface][closed-form]") {
  const TruePose pose = Turned();
  const std::array<double, 3> size{250, 180, 90};
  const FittedSurface box =
      MustSolve(WithFocal(1500), BoxOf(kTruth, pose, size, SeenCorners(pose, size)));
  // front -z, right +x, back +z, left -x, top -y, bottom +y (kBoxFaceNames).
  const std::array<Eigen::Vector3d, 6> outward{-Eigen::Vector3d::UnitZ(), Eigen::Vector3d::UnitX(),
                                               Eigen::Vector3d::UnitZ(),  -Eigen::Vector3d::UnitX(),
                                               -Eigen::Vector3d::UnitY(), Eigen::Vector3d::UnitY()};
  int seen = 0;
  for (size_t face = 0; face < 6; ++face) {
    for (const auto& chart : box.faces[face].charts) {
      ++seen;
      const auto normals = MustTell(*chart, kPhoto, {0, 0, 2, 2});
      CHECK((At(normals, 1, 1) - pose.rotation * outward[face]).norm() < 1e-5);
    }
  }
  CHECK(seen == 3);
}

TEST_CASE("Chart normals: of cylinder and cone, square to the side's two tangents",
          "[surface][closed-form]") {
  constexpr SizePx kLarge{1600, 1200};
  for (const double bottom : {80.0, 56.0, 110.0}) {
    for (const double k1 : {0.0, -0.1}) {
      MadeRims made = MadeRims::Seen(0.4, 0.1, 1500, 300, 60, -150);
      made.diameter_bottom = bottom;
      const FrustumSize size{made.diameter_top, made.diameter_bottom, made.height};
      const PosedFrustum posed{
          size,
          {made.rotation, made.origin},
          PatternOf(size, size.is_cylinder() ? Shape::kCylinder : Shape::kCone),
          0.3,
          {made.focal_px, made.principal, k1, 0}};
      const auto charts = FrustumCharts(posed);
      REQUIRE(charts.size() == 1);
      for (double azimuth = -1; azimuth <= 1; azimuth += 0.25) {
        for (const double down : {0.1, 0.5, 0.9}) {
          const Eigen::Vector3d p = made.InCamera(azimuth, down);
          const Eigen::Vector3d around = made.InCamera(azimuth + 1e-6, down) - p;
          const Eigen::Vector3d along = made.InCamera(azimuth, down + 1e-6) - p;
          const Eigen::Vector3d truth = along.cross(around).normalized();
          const PhotoPx at = posed.lens.PhotoFromIdeal(made.At(azimuth, down));
          const auto normals = MustTell(*charts[0], kLarge, PixelOf(at));
          INFO("bottom " << bottom << ", azimuth " << azimuth << ", down " << down);
          // Half a pixel of at most 0.3 mm on a curve of 28 mm, as slanted as here.
          CHECK((At(normals, 0, 0) - truth).norm() < 0.02);
          CHECK(At(normals, 0, 0).norm() == Approx(1).margin(1e-6));
          CHECK(At(normals, 0, 0).dot(p) < 0);
        }
      }
      // Far beside it: finite, unit.
      const auto beside = MustTell(*charts[0], kLarge, {-20, -20, -18, -18});
      CHECK(At(beside, 0, 0).norm() == Approx(1).margin(1e-6));
    }
  }
}

TEST_CASE("Chart normals: exact at a cylinder pixel's own centre", "[surface][closed-form]") {
  // An upright cylinder of 40 mm, its axis 400 mm before the camera: the ray at angle a from the axis plane meets it at
  // azimuth asin((d / r) sin a) - a (cylinder mapping, axis vertical).
  const FrustumSize size{80, 80, 200};
  Pose pose;
  pose.translation = {0, -100, 400};
  const PosedFrustum posed{size, pose, PatternOf(size, Shape::kCylinder), 0, {1000, {200, 150}}};
  const auto charts = FrustumCharts(posed);
  REQUIRE(charts.size() == 1);
  const auto normals = MustTell(*charts[0], {400, 300}, {110, 150, 290, 151});
  for (int64_t x = 0; x < 180; ++x) {
    const double a = std::atan((static_cast<double>(110 + x) + 0.5 - 200) / 1000);
    const double azimuth = std::asin(10 * std::sin(a)) - a;
    CHECK((At(normals, x, 0) - Eigen::Vector3d(std::sin(azimuth), 0, -std::cos(azimuth))).norm() <
          1e-6);
  }
}

namespace {

void AddStrip(Mesh& mesh, int columns,
              const std::function<Eigen::Vector3d(double, double)>& place) {
  const auto first = static_cast<int32_t>(mesh.vertices.size());
  for (int j = 0; j <= 1; ++j) {
    for (int i = 0; i <= columns; ++i) {
      mesh.vertices.push_back(place(static_cast<double>(i) / columns, j));
      mesh.uvs.emplace_back(static_cast<double>(i) / columns, j);
    }
  }
  for (int i = 0; i < columns; ++i) {
    const int32_t a = first + i, b = a + 1, c = b + columns + 1, d = c - 1;
    for (const std::array<int32_t, 3>& t : {std::array{a, b, c}, std::array{a, c, d}}) {
      mesh.triangles.push_back(t);
      mesh.uv_triangles.push_back(t);
    }
  }
}

}  // namespace

TEST_CASE("Chart normals: a mesh of a cylinder shades as round, a box's edge stays sharp",
          "[surface][closed-form]") {
  const Lens lens{1000, {200, 150}};
  Pose pose;
  pose.translation = {0, 0, 400};
  Mesh round;
  // The half that faces the camera: v up is -y; 24 facets of 7.5 degrees.
  AddStrip(round, 24, [](double u, double v) {
    const double azimuth = kPi * (u - 0.5);
    return Eigen::Vector3d(40 * std::sin(azimuth), 60 - 120 * v, -40 * std::cos(azimuth));
  });
  FindIslands(round);
  const auto tracer = std::make_shared<const MeshTracer>(std::make_shared<const Mesh>(round), pose,
                                                         lens, SurfaceMm{100, 100});
  const MeshChart chart(tracer, 0);
  const RectPx region{90, 140, 310, 160};
  const auto normals = MustTell(chart, {400, 300}, region);
  double flat_error = 0;
  for (int64_t x = 20; x < 200; ++x) {
    const double a = std::atan((static_cast<double>(region.x0 + x) + 0.5 - 200) / 1000);
    const double azimuth = std::asin(10 * std::sin(a)) - a;
    const Eigen::Vector3d truth(std::sin(azimuth), 0, -std::cos(azimuth)), n = At(normals, x, 10);
    // Between corners that are exact, linear over 7.5 degrees, and a chord that lies (7.5 degrees)^2 / 8 r inside:
    // seen at up to 60 degrees that is 1.7 px of azimuth at most; facets would be off by 3.75 degrees = 0.065.
    if (std::abs(azimuth) < 1.0) CHECK((n - truth).norm() < 0.008);
    const double facet = (std::floor((azimuth / kPi + 0.5) * 24) + 0.5) / 24 * kPi - kPi / 2;
    flat_error = std::max(flat_error, std::abs(facet - azimuth));
    CHECK(n.norm() == Approx(1).margin(1e-6));
  }
  CHECK(flat_error > 0.06);
  // Beside it the nearest pixel's.
  CHECK((At(normals, 0, 10) - At(normals, 5, 10)).norm() < 0.2);
  CHECK(At(normals, 0, 10).norm() == Approx(1).margin(1e-6));

  Mesh edge;
  AddStrip(edge, 2, [](double u, double v) {
    // Two sides at a right angle, their edge towards the camera.
    return Eigen::Vector3d(80 * (u - 0.5), 60 - 120 * v, -40 + 80 * std::abs(u - 0.5));
  });
  const auto corners = CornerNormals(edge);
  const double half = std::sqrt(0.5);
  for (size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d truth(i < 2 ? -half : half, 0, -half);
    for (const Eigen::Vector3d& corner : corners[i]) CHECK((corner - truth).norm() < 1e-12);
  }
}

TEST_CASE("Chart normals: vertices listed twice at one place shade as one",
          "[surface][invariant]") {
  Mesh mesh;
  for (const double side : {0.0, 1.0}) {
    AddStrip(mesh, 3, [side](double u, double v) {
      const double azimuth = (u + side - 1) * 0.6;
      return Eigen::Vector3d(40 * std::sin(azimuth), 60 - 120 * v, -40 * std::cos(azimuth));
    });
  }
  const auto corners = CornerNormals(mesh);
  // The last column of the first strip and the first of the second stand at azimuth 0.
  for (size_t i = 0; i < mesh.triangles.size(); ++i) {
    for (size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3d& at = mesh.vertices[static_cast<size_t>(mesh.triangles[i][k])];
      if (std::abs(at.x()) < 1e-9) {
        CHECK((corners[i][k] - Eigen::Vector3d(0, 0, -1)).norm() < 1e-3);
      }
    }
  }
}

}  // namespace wheatpaste
