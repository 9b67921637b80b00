#include "surface/fit_plane.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

constexpr SizePx kPhoto{1280, 960};
const std::vector<PhotoPx> kUpright{{100, 80}, {520, 80}, {520, 674}, {100, 674}};

Camera CameraOf(double focal, FocalSource source) {
  Camera camera;
  camera.focal_px = focal;
  camera.source = source;
  camera.principal = {640, 480};
  return camera;
}

Surface SurfaceOf(std::vector<PhotoPx> corners) {
  Surface surface;
  surface.corners = std::move(corners);
  surface.corners_place = {"wall.toml", 9, 11};
  surface.marks_place = {"wall.toml", 12, 9};
  surface.size = SurfaceMm{420, 594};
  return surface;
}

std::string ErrorOf(const Surface& surface) {
  const auto plane = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kDefault));
  REQUIRE_FALSE(plane);
  REQUIRE(plane.errors().size() == 1);
  return FormatError(plane.errors().front());
}

TEST_CASE("Plane: corners become the surface's own corners", "[surface][closed-form]") {
  const auto plane = FitPlane(SurfaceOf(kUpright), kPhoto, CameraOf(1000, FocalSource::kDefault));
  REQUIRE(plane);
  CHECK(plane->size_known);
  CHECK(plane->aspect.value == Approx(420.0 / 594));
  CHECK(plane->aspect.sd == 0);
  CHECK(plane->residual_px < 1e-9);
  CHECK(plane->warnings.empty());
  const PhotoPx middle = plane->photo_from_surface({210, 297});
  CHECK(middle.x == Approx(310));
  CHECK(middle.y == Approx(377));
}

TEST_CASE("Plane: impossible corners are refused, with the reason", "[surface][bad-input]") {
  const PhotoPx a{100, 80}, b{520, 80}, c{520, 674}, d{100, 674};
  CHECK(
      ErrorOf(SurfaceOf({a, c, b, d})) ==
      "wall.toml:9:11: error: surface.corners = [[100, 80], [520, 674], [520, 80], [100, 674]]: "
      "expected corners in order around the surface; two sides cross each other; start at its top "
      "left and go clockwise");
  CHECK(ErrorOf(SurfaceOf({a, d, c, b})) ==
        "wall.toml:9:11: error: surface.corners = [[100, 80], [100, 674], [520, 674], [520, 80]]: "
        "expected corners clockwise from the surface's own top left; these run counter-clockwise, "
        "the artwork would be mirrored");
  CHECK(ErrorOf(SurfaceOf({a, b, {200, 200}, d})) ==
        "wall.toml:9:11: error: surface.corners = [[100, 80], [520, 80], [200, 200], [100, 674]]: "
        "expected four corners of a rectangle; one of them points inwards, which no camera sees");
  CHECK(ErrorOf(SurfaceOf({a, {310, 80}, b, d})) ==
        "wall.toml:9:11: error: surface.corners = [[100, 80], [310, 80], [520, 80], [100, 674]]: "
        "expected four corners of a rectangle; three of them lie on one line");
  CHECK(
      ErrorOf(SurfaceOf({a, b, c, {100.5, 80.5}})) ==
      "wall.toml:9:11: error: surface.corners = [[100, 80], [520, 80], [520, 674], [100.5, 80.5]]: "
      "expected four corners that lie apart; two of them coincide");
  CHECK(ErrorOf(SurfaceOf({{1300, 80}, {1400, 80}, {1400, 200}, {1300, 200}})) ==
        "wall.toml:9:11: error: surface.corners = [[1300, 80], [1400, 80], [1400, 200], [1300, "
        "200]]: lies outside the photo, which is 1280 x 960 px");
}

TEST_CASE("Plane: a surface that only reaches into the photo is taken", "[surface][closed-form]") {
  CHECK(FitPlane(SurfaceOf({{1200, -300}, {1900, -300}, {1900, 90}, {1200, 90}}), kPhoto,
                 CameraOf(1000, FocalSource::kDefault)));
}

// The worked example of tests/geometry/quad_test.cc: width / height = 1.6, f = 1000 px.
TEST_CASE("Plane: without a size, the aspect ratio is solved", "[surface][published]") {
  Surface surface =
      SurfaceOf({{490, 380}, {780.4576, 444.9413}, {695.972, 608.8086}, {410.8107, 583.6416}});
  surface.size.reset();
  const auto plane = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kScene));
  REQUIRE(plane);
  CHECK_FALSE(plane->size_known);
  CHECK(plane->aspect.value == Approx(1.6).margin(1e-6));
  CHECK(plane->aspect.sd > 0);
  CHECK(plane->aspect.sd < 0.05);
  CHECK(plane->size.x == kUnsizedWidthMm);
  CHECK(plane->size.y == Approx(kUnsizedWidthMm / 1.6).margin(1e-3));
  CHECK(plane->warnings.empty());
}

// A rectangle 40 px across: half a pixel on each corner is 2 to 3 per cent of each side and more of the
// tilted one.
TEST_CASE("Plane: an aspect ratio that hangs on half a pixel is called uncertain",
          "[surface][bad-input]") {
  Surface surface = SurfaceOf({{600, 460}, {611, 462}, {611, 488}, {600, 492}});
  surface.size.reset();
  const auto plane = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kScene));
  REQUIRE(plane);
  REQUIRE(plane->warnings.size() == 1);
  CHECK(plane->warnings[0].find("solved from the corners is uncertain by ") != std::string::npos);
  CHECK(plane->warnings[0].find("give the surface a size") != std::string::npos);
}

TEST_CASE("Plane: a size that the camera contradicts is told, corner and px",
          "[surface][bad-input]") {
  // Truth: 420 x 594 mm turned by 35 degrees before f = 1000; the scene says 420 x 420.
  const Eigen::Matrix3d turn =
      Eigen::AngleAxisd(0.61, Eigen::Vector3d(0.3, 1, 0).normalized()).toRotationMatrix();
  std::vector<PhotoPx> corners;
  for (const auto& mm : {Eigen::Vector3d(-210, -297, 0), Eigen::Vector3d(210, -297, 0),
                         Eigen::Vector3d(210, 297, 0), Eigen::Vector3d(-210, 297, 0)}) {
    const Eigen::Vector3d p = turn * mm + Eigen::Vector3d(0, 0, 900);
    corners.push_back({640 + 1000 * p.x() / p.z(), 480 + 1000 * p.y() / p.z()});
  }
  Surface surface = SurfaceOf(corners);
  const auto right = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kScene));
  REQUIRE(right);
  CHECK(right->residual_px < 1e-6);
  CHECK(right->warnings.empty());

  surface.size = SurfaceMm{420, 420};
  const auto wrong = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kScene));
  REQUIRE(wrong);
  CHECK(wrong->residual_px > kPoorFitPx);
  REQUIRE(wrong->warnings.size() == 1);
  CHECK(wrong->warnings[0].find("the marks do not fit a 420 x 420 mm rectangle seen with a focal "
                                "length of 1000 px: off by ") == 0);
  CHECK(wrong->warnings[0].find(" corner, ") != std::string::npos);
  CHECK(wrong->warnings[0].find(" px root mean square") != std::string::npos);

  // An assumed focal length is no reason to doubt the marks.
  const auto unknown = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kDefault));
  REQUIRE(unknown);
  CHECK(unknown->warnings.empty());
}

// Source  residual of a least-squares fit, Hartley, Zisserman 2004, section 5.1.3: sqrt(1 - 4/n) per
//         coordinate, so sqrt(2) times that as a distance. Limit 5 % over 60 trials of 24 marks.
TEST_CASE("Plane: more than four marks are fitted by least squares", "[surface][published]") {
  std::mt19937 random(21);
  std::normal_distribution<double> noise(0, 0.5);
  Eigen::Matrix3d h;
  h << 1.1, 0.1, 200, -0.05, 1.0, 150, 2e-4, 1e-4, 1;
  const Map<PhotoPx, SurfaceMm> truth(h);
  double squares = 0;
  constexpr int kTrials = 60;
  for (int trial = 0; trial < kTrials; ++trial) {
    Surface surface = SurfaceOf({});
    for (int i = 0; i < 24; ++i) {
      const SurfaceMm mm{420.0 * (i % 6) / 5, 594.0 * (i / 6) / 3};
      PhotoPx p = truth(mm);
      p.x += noise(random);
      p.y += noise(random);
      surface.marks.push_back({p, mm});
    }
    const auto plane = FitPlane(surface, kPhoto, CameraOf(1000, FocalSource::kDefault));
    REQUIRE(plane);
    squares += plane->residual_px * plane->residual_px;
    CHECK(std::hypot(plane->outline[2].x - truth({420, 594}).x,
                     plane->outline[2].y - truth({420, 594}).y) < 2);
  }
  CHECK(std::sqrt(squares / kTrials) ==
        Approx(0.5 * std::sqrt(2.0) * std::sqrt(1 - 4.0 / 24)).epsilon(0.05));
}

TEST_CASE("Plane: marks on a line fix no plane", "[surface][bad-input]") {
  Surface surface = SurfaceOf({});
  for (int i = 0; i < 5; ++i) {
    surface.marks.push_back({{100.0 + 50 * i, 100.0 + 20 * i}, {10.0 * i, 10.0 * i}});
  }
  CHECK(ErrorOf(surface) ==
        "wall.toml:12:9: error: surface.marks: expected points that fix a plane before the camera; "
        "these lie on a line, coincide, or contradict each other");
}

TEST_CASE("Plane: mirrored marks are told as such", "[surface][bad-input]") {
  Surface surface = SurfaceOf({});
  for (const SurfaceMm& mm : {SurfaceMm{0, 0}, {420, 0}, {420, 594}, {0, 594}, {210, 100}}) {
    surface.marks.push_back({{700 - mm.x, 100 + mm.y}, mm});
  }
  CHECK(ErrorOf(surface) ==
        "wall.toml:12:9: error: surface.marks: the marks show the surface mirrored; expected mm to "
        "the right and down");
}

}  // namespace
}  // namespace wheatpaste
