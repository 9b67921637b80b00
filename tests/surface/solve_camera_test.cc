#include "surface/solve_camera.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "surface/marked_scene.h"

namespace wheatpaste {
namespace {

using test::BoxOf;
using test::PictureOfRectangle;
using test::PlaneOf;
using test::TrueCamera;
using test::TruePose;
using test::TurnBy;

// The worked example of tests/geometry/quad_test.cc: f = 1000 px, centre (640, 480).
const std::vector<PhotoPx> kTelling{
    {490, 380}, {780.4576, 444.9413}, {695.972, 608.8086}, {410.8107, 583.6416}};
const std::vector<PhotoPx> kFlat{{100, 100}, {420, 100}, {420, 300}, {100, 300}};
constexpr SizePx kPhoto{1280, 960};

Camera CameraOf(const Photo& photo, double exif, const std::vector<Surface>& surfaces) {
  auto solved = SolveCamera(photo, kPhoto, exif, surfaces);
  REQUIRE(solved);
  REQUIRE(solved->surfaces.size() == surfaces.size());
  return solved->camera;
}

// Source  Q01, Q02 of the project's check values (Zhang, He, MSR-TR-2003-39): f = 1000.000. The standard
//         deviation, 29 px, is that of the closed form by central differences (quad_test.cc).
TEST_CASE("Camera's fit: scene, then EXIF, then the marks, then the default",
          "[surface][published]") {
  const std::vector<Surface> telling{PlaneOf(kFlat), PlaneOf(kTelling)};
  Photo photo;
  Camera camera = CameraOf(photo, 0, telling);
  CHECK(camera.source == FocalSource::kSolved);
  CHECK(camera.focal_px == Approx(1000).margin(0.001));
  CHECK(camera.focal_sd_px == Approx(29).margin(1));
  CHECK_FALSE(camera.is_known());
  CHECK(camera.principal == PhotoPx{640, 480});

  camera = CameraOf(photo, 0, {PlaneOf(kFlat)});
  CHECK(camera.source == FocalSource::kDefault);
  CHECK(camera.focal_px == Approx(FocalPxFrom35mm(kDefaultFocal35mm, kPhoto)));
  CHECK(camera.focal_sd_px == 0);
  CHECK_FALSE(camera.is_known());

  camera = CameraOf(photo, 24, telling);
  CHECK(camera.source == FocalSource::kExif);
  CHECK(camera.focal_px == Approx(FocalPxFrom35mm(24, kPhoto)));
  CHECK(camera.is_known());

  photo.focal_35mm = 35;
  camera = CameraOf(photo, 24, telling);
  CHECK(camera.source == FocalSource::kScene);
  CHECK(camera.focal_px == Approx(FocalPxFrom35mm(35, kPhoto)));
  CHECK(camera.is_known());

  photo.focal_35mm.reset();
  photo.focal_px = 2950;
  camera = CameraOf(photo, 24, telling);
  CHECK(camera.focal_px == 2950);
  CHECK(camera.focal_sd_px == 0);
}

TEST_CASE("Camera's fit: impossible corners are errors and decide no focal length",
          "[surface][bad-input]") {
  auto mirrored = kTelling;
  std::swap(mirrored[1], mirrored[3]);
  auto crossed = kTelling;
  std::swap(crossed[1], crossed[2]);
  Surface second = PlaneOf(crossed);
  second.corners_place = {"wall.toml", 30, 11};
  // Both are told, each at its place.
  const auto solved = SolveCamera({}, kPhoto, 0, {PlaneOf(mirrored), PlaneOf(kTelling), second});
  REQUIRE_FALSE(solved);
  REQUIRE(solved.errors().size() == 2);
  CHECK(FormatError(solved.errors()[0])
            .find("wall.toml:9:11: error: surface.corners = [[490, "
                  "380], [410.811, 583.642]") == 0);
  CHECK(FormatError(solved.errors()[0]).find("counter-clockwise") != std::string::npos);
  CHECK(FormatError(solved.errors()[1]).find("wall.toml:30:11: error: surface.corners") == 0);
  CHECK(FormatError(solved.errors()[1]).find("two sides cross each other") != std::string::npos);

  CHECK(CameraOf({}, 0, {}).source == FocalSource::kDefault);
}

// A camera turned over many views of one rectangle of known size: the given focal length is not needed.
TEST_CASE("Camera's fit: one sized rectangle gives focal length and pose back",
          "[surface][closed-form]") {
  std::mt19937 random(41);
  std::uniform_real_distribution<double> turn(0.35, 0.8), roll(-0.5, 0.5), focal(600, 4000);
  for (int trial = 0; trial < 60; ++trial) {
    CAPTURE(trial);
    TrueCamera truth;
    truth.focal_px = focal(random);
    TruePose pose;
    const double x = turn(random);
    const double y = turn(random);
    const double z = roll(random);
    pose.rotation = TurnBy({0, 0, z}) * TurnBy({x, 0, 0}) * TurnBy({0, -y, 0});
    const Eigen::Vector3d middle(0, 0, truth.focal_px * 594 / 500);
    pose.translation = middle - pose.rotation * Eigen::Vector3d(210, 297, 0);
    const auto solved = SolveCamera(
        {}, kPhoto, 0, {PlaneOf(PictureOfRectangle(truth, pose, 420, 594), SurfaceMm{420, 594})});
    REQUIRE(solved);
    REQUIRE(solved->camera.source == FocalSource::kSolved);
    CHECK(solved->camera.focal_px == Approx(truth.focal_px).epsilon(1e-7));
    const FittedSurface& plane = solved->surfaces[0];
    REQUIRE(plane.pose);
    CHECK((plane.pose->rotation - pose.rotation).norm() < 1e-6);
    CHECK((plane.pose->translation - pose.translation).norm() < 1e-3);
    CHECK(plane.residual_px < 1e-6);
    CHECK(plane.warnings.empty());
  }
}

struct Spread {
  double reported = 0, found = 0;
};

// Root mean square error of the focal length over seeded trials, beside the standard deviation that is
// reported for exact marks.
Spread FocalSpread(const TrueCamera& truth, const std::vector<Surface>& exact, uint32_t seed) {
  Spread spread;
  const auto reported = SolveCamera({}, kPhoto, 0, exact);
  REQUIRE(reported);
  spread.reported = reported->camera.focal_sd_px;
  test::Noise noise(seed);
  double squares = 0;
  constexpr int kTrials = 150;
  for (int trial = 0; trial < kTrials; ++trial) {
    auto noisy = exact;
    for (Surface& surface : noisy) noise.Shake(surface);
    const auto solved = SolveCamera({}, kPhoto, 0, noisy);
    if (!solved) FAIL(FormatErrors(solved.errors()));
    REQUIRE(solved->camera.source == FocalSource::kSolved);
    const double miss = solved->camera.focal_px - truth.focal_px;
    squares += miss * miss;
  }
  spread.found = std::sqrt(squares / kTrials);
  return spread;
}

// First-order propagation against what happens: 150 trials fix the spread to about 6 %; the rest of the
// factor is for the second order, which a focal length uncertain by 5 % has.
TEST_CASE("Camera's fit: a plane and a box together know more than each, and as much as they say",
          "[surface][invariant]") {
  const TrueCamera truth{1500, {640, 480}};
  TruePose plane_pose, box_pose;
  plane_pose.rotation = TurnBy({0.5, 0, 0}) * TurnBy({0, -0.6, 0});
  plane_pose.translation = {-250, -150, 1200};
  box_pose.rotation = TurnBy({0.4, 0, 0}) * TurnBy({0, 0.6, 0});
  box_pose.translation = {20, -60, 900};
  const std::array<double, 3> size{250, 180, 90};
  const Surface plane =
      PlaneOf(PictureOfRectangle(truth, plane_pose, 420, 297), SurfaceMm{420, 297});
  const Surface box = BoxOf(truth, box_pose, size, test::SeenCorners(box_pose, size));
  const Spread of_plane = FocalSpread(truth, {plane}, 51);
  const Spread of_box = FocalSpread(truth, {box}, 52);
  const Spread of_both = FocalSpread(truth, {plane, box}, 53);
  for (const Spread& spread : {of_plane, of_box, of_both}) {
    CAPTURE(spread.reported, spread.found);
    CHECK(spread.found < 1.5 * spread.reported);
    CHECK(spread.found > spread.reported / 1.5);
  }
  CHECK(of_both.reported < of_plane.reported);
  CHECK(of_both.reported < of_box.reported);
  CHECK(of_both.found < of_plane.found);
  CHECK(of_both.found < of_box.found);
  // Independent marks: their informations add up.
  CHECK(std::pow(of_both.reported, -2) ==
        Approx(std::pow(of_plane.reported, -2) + std::pow(of_box.reported, -2)).epsilon(1e-6));
}

// Model   lens.h, written out: photo = principal + focal (1 + k1 r^2 + k2 r^4) (x, y).
TEST_CASE("Camera's fit: marks seen through a bent lens are straightened first",
          "[surface][closed-form]") {
  const TrueCamera truth{900, {640, 480}};
  TruePose pose;
  pose.rotation = TurnBy({0.3, 0.5, 0.1});
  pose.translation = {-200, -250, 800};
  Photo photo;
  photo.focal_px = truth.focal_px;
  photo.distortion = {-0.21, 0.04};
  auto corners = PictureOfRectangle(truth, pose, 420, 594);
  for (PhotoPx& corner : corners) {
    const double x = (corner.x - truth.principal.x) / truth.focal_px;
    const double y = (corner.y - truth.principal.y) / truth.focal_px;
    const double r2 = x * x + y * y;
    const double share = 1 - 0.21 * r2 + 0.04 * r2 * r2;
    corner = {truth.principal.x + truth.focal_px * share * x,
              truth.principal.y + truth.focal_px * share * y};
  }
  const auto solved = SolveCamera(photo, kPhoto, 0, {PlaneOf(corners, SurfaceMm{420, 594})});
  REQUIRE(solved);
  const FittedSurface& plane = solved->surfaces[0];
  REQUIRE(plane.pose);
  CHECK((plane.pose->rotation - pose.rotation).norm() < 1e-8);
  CHECK((plane.pose->translation - pose.translation).norm() < 1e-5);
  CHECK(plane.residual_px < 1e-6);
  // The report's corners are the photo's own, bent.
  for (size_t i = 0; i < 4; ++i) {
    CHECK(plane.corners[i].x == Approx(corners[i].x).margin(1e-6));
    CHECK(plane.corners[i].y == Approx(corners[i].y).margin(1e-6));
  }

  // Mistakes are told with the numbers as they were written.
  std::swap(corners[1], corners[3]);
  const auto wrong = SolveCamera(photo, kPhoto, 0, {PlaneOf(corners, SurfaceMm{420, 594})});
  REQUIRE_FALSE(wrong);
  CHECK(wrong.errors()[0].subject.find(
            fmt::format("[[{:.6g}, {:.6g}]", corners[0].x, corners[0].y)) != std::string::npos);
}

TEST_CASE("Camera's fit: the same bits every time", "[surface][invariant]") {
  test::Noise noise(61);
  std::vector<Surface> surfaces{PlaneOf(kTelling), PlaneOf(kTelling, SurfaceMm{160, 100})};
  for (Surface& surface : surfaces) noise.Shake(surface);
  const auto first = SolveCamera({}, kPhoto, 0, surfaces);
  const auto second = SolveCamera({}, kPhoto, 0, surfaces);
  REQUIRE(first);
  REQUIRE(second);
  CHECK(first->camera.focal_px == second->camera.focal_px);
  CHECK(first->camera.focal_sd_px == second->camera.focal_sd_px);
  CHECK(first->surfaces[1].pose->translation == second->surfaces[1].pose->translation);
}

}  // namespace
}  // namespace wheatpaste
