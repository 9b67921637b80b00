#include "surface/mark_rims.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <string>

#include "base/units.h"
#include "surface/fit_plane.h"
#include "surface/made_rims.h"
#include "surface/rim_residuals.h"
#include "surface/solve_camera.h"

namespace wheatpaste {
namespace {

using test::MadeRims;

constexpr SizePx kPhoto{1600, 1200};

Photo GivenFocal(double focal_px) {
  Photo photo;
  photo.focal_px = focal_px;
  return photo;
}

// Any view of a cup, can or lampshade that shows both near arcs.
std::optional<MadeRims> RandomRims(std::mt19937& random) {
  std::uniform_real_distribution<double> share(0, 1);
  // Drawn one by one: in one expression each compiler would draw in an order of its own.
  const double tilt = 2.6 * (share(random) - 0.5);
  const double roll = 1.2 * (share(random) - 0.5);
  const double focal = 1600 * std::exp(std::log(0.3) + share(random) * std::log(10 / 0.3));
  const double pictured = 200 + 300 * share(random);
  const double x = 700 * (share(random) - 0.5);
  const double y = 500 * (share(random) - 0.7);
  const double shape = share(random);
  MadeRims made = MadeRims::Seen(tilt, roll, focal, pictured, x, y);
  if (shape > 0.3) made.diameter_bottom = shape > 0.65 ? 56 : 110;
  if (!made.BeforeCamera()) return std::nullopt;
  return made;
}

// What a hand does: half a px off the curve, and along it.
void Shake(std::mt19937& random, MarkedRim& rim) {
  std::normal_distribution<double> off(0, kMarkingErrorPx);
  for (PhotoPx& p : rim.points) {
    p.x += off(random);
    p.y += off(random);
  }
}

std::string MessageOf(const Surface& surface) {
  const auto marked = MarkRims(surface);
  return marked ? "" : FormatErrors(marked.errors());
}

Surface Upright() { return *MadeRims::Seen(0.4, 0, 1500, 400, 0, -150).Marked(); }

}  // namespace

TEST_CASE("Rims: exact marks give the pose back, over tilts, rolls, shapes and focal lengths",
          "[surface][closed-form]") {
  std::mt19937 random(21);
  int tried = 0, from_below = 0, wide = 0;
  for (int trial = 0; trial < 250; ++trial) {
    const auto made = RandomRims(random);
    if (!made) continue;
    const auto surface = made->Marked();
    if (!surface || !MarkRims(*surface)) continue;  // one bow hidden, or upside down
    CAPTURE(trial, made->focal_px, made->diameter_bottom);
    const auto solved = SolveCamera(GivenFocal(made->focal_px), kPhoto, 0, {*surface});
    REQUIRE(solved);
    const FittedSurface& fitted = solved->surfaces[0];
    ++tried;
    from_below += surface->rims.bottom.points[1].y < surface->rims.bottom.points[0].y;
    wide += made->focal_px < 800;
    REQUIRE(fitted.pose);
    // Marks found by search are exact to some 1e-4 px along the rim, which counts little.
    CHECK(fitted.residual_px < 1e-3);
    const double away = made->origin.norm();
    CHECK((fitted.pose->translation - made->origin).norm() < 1e-4 * away);
    CHECK((fitted.pose->rotation - made->rotation).norm() < 1e-3);
    CHECK(fitted.warnings.empty());
    // Corners: points of the side, mapped by the pose.
    for (const double azimuth : {-0.7, 0.0, 0.7}) {
      for (const double down : {0.0, 1.0}) {
        const Eigen::Vector3d p = fitted.pose->CameraFromObject(
            ObjectFromSide(FrustumSizeOf(surface->rims), {azimuth, down * made->height}));
        const Eigen::Vector2d at = made->focal_px * p.head<2>() / p.z() + made->principal.vector();
        CHECK((at - made->At(azimuth, down).vector()).norm() < 0.01);
      }
    }
  }
  CHECK(tried > 80);
  CHECK(from_below > 10);
  CHECK(wide > 10);
}

TEST_CASE("Rims: exact marks give the focal length back where they tell it",
          "[surface][closed-form]") {
  std::mt19937 random(22);
  int tried = 0, solved_count = 0;
  for (int trial = 0; trial < 120; ++trial) {
    const auto made = RandomRims(random);
    if (!made) continue;
    const auto surface = made->Marked();
    if (!surface || !MarkRims(*surface)) continue;
    CAPTURE(trial, made->focal_px, made->diameter_bottom);
    const auto solved = SolveCamera(Photo{}, kPhoto, 0, {*surface});
    ++tried;
    if (!solved || solved->camera.source != FocalSource::kSolved) continue;
    ++solved_count;
    CHECK(std::abs(solved->camera.focal_px / made->focal_px - 1) < 1e-4);
  }
  CHECK(tried > 40);
  CHECK(solved_count > 20);
}

// Limit   a factor of 1.5 between the spread over 200 draws and what is reported (sampling alone: 1.15 at most,
//         three sigma of a standard deviation from 200 draws).
TEST_CASE("Rims: the reported standard deviations are those of shaken marks",
          "[surface][invariant]") {
  std::mt19937 random(23);
  for (const double tilt : {0.25, 0.6}) {
    MadeRims made = MadeRims::Seen(tilt, 0.1, 1500, 500, 150, -200);
    const Surface exact = *made.Marked();
    const auto reported = SolveCamera(GivenFocal(1500), kPhoto, 0, {exact});
    REQUIRE(reported);
    REQUIRE(reported->surfaces[0].pose_sd);
    const PoseUncertainty& sd = *reported->surfaces[0].pose_sd;
    constexpr int kDraws = 200;
    Eigen::Vector3d moved = Eigen::Vector3d::Zero(), tipped = Eigen::Vector3d::Zero();
    for (int draw = 0; draw < kDraws; ++draw) {
      Surface shaken = exact;
      Shake(random, shaken.rims.top);
      Shake(random, shaken.rims.bottom);
      const auto solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {shaken});
      REQUIRE(solved);
      const Pose& pose = *solved->surfaces[0].pose;
      moved += (pose.translation - made.origin).cwiseAbs2();
      // The axis tips from its true direction to the fitted one about their cross product.
      const Eigen::Vector3d axis = made.rotation.col(1);
      tipped += axis.cross(pose.rotation.col(1)).cwiseAbs2();
    }
    moved = (moved / kDraws).cwiseSqrt();
    tipped = (tipped / kDraws).cwiseSqrt();
    for (int i = 0; i < 3; ++i) {
      CAPTURE(tilt, i, moved[i], sd.translation_mm[i], tipped[i], sd.rotation_rad[i]);
      CHECK(moved[i] < 1.5 * sd.translation_mm[i]);
      CHECK(moved[i] > sd.translation_mm[i] / 1.5);
      // About the axis itself nothing is told; square to it the two agree.
      if (sd.rotation_rad[i] < 0.2 * sd.rotation_rad.maxCoeff()) continue;
      CHECK(tipped[i] < 1.5 * sd.rotation_rad[i]);
      CHECK(tipped[i] > sd.rotation_rad[i] / 1.5);
    }
  }
}

TEST_CASE("Rims: shaken marks keep the focal length within its standard deviations",
          "[surface][invariant]") {
  std::mt19937 random(24);
  const MadeRims made = MadeRims::Seen(0.5, 0, 900, 600, 0, -300);
  const Surface exact = *made.Marked();
  const auto reported = SolveCamera(Photo{}, kPhoto, 0, {exact});
  REQUIRE(reported);
  REQUIRE(reported->camera.source == FocalSource::kSolved);
  double squares = 0;
  int draws = 0;
  for (int draw = 0; draw < 60; ++draw) {
    Surface shaken = exact;
    Shake(random, shaken.rims.top);
    Shake(random, shaken.rims.bottom);
    const auto solved = SolveCamera(Photo{}, kPhoto, 0, {shaken});
    REQUIRE(solved);
    if (solved->camera.source != FocalSource::kSolved) continue;
    ++draws;
    squares += std::pow(std::log(solved->camera.focal_px / 900), 2);
  }
  CHECK(draws > 50);
  const double spread = 900 * std::sqrt(squares / draws);
  CAPTURE(spread, reported->camera.focal_sd_px);
  CHECK(spread < 1.5 * reported->camera.focal_sd_px);
  CHECK(spread > reported->camera.focal_sd_px / 1.5);
}

TEST_CASE("Rims: further points on the rims are used", "[surface][invariant]") {
  const MadeRims made = MadeRims::Seen(0.4, 0, 1500, 400, 0, -150);
  Surface few = *made.Marked(), many = few;
  for (double azimuth = -2.8; azimuth < 3; azimuth += 0.7) {
    many.rims.top.points.push_back(made.At(azimuth, 0));
    if (std::abs(azimuth) < 1.2) many.rims.bottom.points.push_back(made.At(azimuth, 1));
  }
  const auto with_few = SolveCamera(GivenFocal(1500), kPhoto, 0, {few});
  const auto with_many = SolveCamera(GivenFocal(1500), kPhoto, 0, {many});
  REQUIRE(with_few);
  REQUIRE(with_many);
  CHECK(with_many->surfaces[0].residual_px < 1e-3);
  CHECK((with_many->surfaces[0].pose->translation - made.origin).norm() < 0.02);
  CHECK(with_many->surfaces[0].pose_sd->translation_mm.norm() <
        0.9 * with_few->surfaces[0].pose_sd->translation_mm.norm());
}

TEST_CASE("Rims: a rim on edge, at the camera's own height", "[surface][closed-form]") {
  // The top rim's plane goes through the camera: its picture is a line.
  MadeRims made;
  made.origin = {30, 0, 400};
  made.FaceCamera();
  Surface surface = *MadeRims::Seen(0.4, 0, 1500, 400, 0, -150).Marked();
  const double middle = std::atan2(30, 400), half = std::asin(40 / std::hypot(30, 400));
  const auto x = [&](double angle) { return 800 + 1200 * std::tan(angle); };
  surface.rims.top.points = {{x(middle - half), 600}, {x(middle), 600}, {x(middle + half), 600}};
  surface.rims.bottom.points = *made.Marks(1);
  const auto solved = SolveCamera(GivenFocal(1200), kPhoto, 0, {surface});
  REQUIRE(solved);
  CHECK(solved->surfaces[0].residual_px < 0.01);
  CHECK((solved->surfaces[0].pose->translation - made.origin).norm() < 0.05);
}

TEST_CASE("Rims: the face, its size and its charts", "[surface][closed-form]") {
  Surface surface = Upright();
  auto solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {surface});
  REQUIRE(solved);
  const FittedSurface& can = solved->surfaces[0];
  REQUIRE(can.faces.size() == 1);
  CHECK(can.faces[0].name.empty());
  CHECK(can.size.x == Approx(80 * std::numbers::pi));
  CHECK(can.size.y == Approx(96));
  CHECK(can.faces[0].area.low.x == Approx(0).margin(1e-9));
  CHECK(can.faces[0].area.low.y == Approx(0).margin(1e-9));
  CHECK(can.faces[0].area.centre.x == Approx(40 * std::numbers::pi));
  CHECK(can.faces[0].area.centre.y == Approx(48));
  CHECK(can.faces[0].charts.size() == 1);
  CHECK(can.corners.size() == 6);

  surface.rims.turn_degrees = 170;  // the seam is seen
  solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {surface});
  REQUIRE(solved);
  CHECK(solved->surfaces[0].faces[0].charts.size() == 2);
}

TEST_CASE("Rims: a bad mark is told of in plain words", "[surface][bad-input]") {
  Surface surface = Upright();
  for (double azimuth = -1; azimuth < 1.1; azimuth += 0.5) {
    const MadeRims made = MadeRims::Seen(0.4, 0, 1500, 400, 0, -150);
    surface.rims.top.points.push_back(made.At(azimuth, 0));
    surface.rims.bottom.points.push_back(made.At(azimuth, 1));
  }
  surface.rims.top.points[0].x -= 12;
  const auto solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {surface});
  REQUIRE(solved);
  const auto& warnings = solved->surfaces[0].warnings;
  REQUIRE(warnings.size() == 1);
  CHECK(warnings[0].starts_with("the marked top rim does not fit an 80 mm circle: off by "));
  CHECK(warnings[0].find(" px at its left end, ") != std::string::npos);
}

TEST_CASE("Rims: dimensions that the picture contradicts", "[surface][bad-input]") {
  Surface surface = Upright();
  surface.rims.height = 40;
  const auto solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {surface});
  REQUIRE_FALSE(solved);
  const std::string message = FormatErrors(solved.errors());
  CAPTURE(message);
  CHECK(
      message.starts_with("cup.toml:9:1: error: surface.height = 40: contradicts the marked "
                          "rims, which miss it by "));
  CHECK(message.find("the rims show a height of about 96 mm") != std::string::npos);
}

TEST_CASE("Rims: a cone's wrong diameter", "[surface][bad-input]") {
  MadeRims made = MadeRims::Seen(0.4, 0, 1500, 400, 0, -150);
  made.diameter_bottom = 56;
  made.height = 95;
  Surface surface = *made.Marked();
  surface.rims.diameter_bottom = 80.5;
  const auto solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {surface});
  REQUIRE_FALSE(solved);
  const std::string message = FormatErrors(solved.errors());
  CAPTURE(message);
  CHECK(message.starts_with("cup.toml:8:1: error: surface.diameter_top = 80: contradicts "));
  CHECK(message.find("a diameter_bottom of about 56 mm and a height of about 95 mm") !=
        std::string::npos);
}

TEST_CASE("Rims: marks that no camera shows", "[surface][bad-input]") {
  const Surface good = Upright();
  const auto expect = [&](auto change, const std::string& line, const std::string& words) {
    Surface bad = good;
    change(bad.rims);
    const std::string message = MessageOf(bad);
    CAPTURE(message);
    CHECK(message.starts_with("cup.toml:" + line));
    CHECK(message.find(words) != std::string::npos);
  };
  CHECK(MessageOf(good).empty());
  expect([](RimMarks& r) { r.top.points.pop_back(); }, "10:1: error: surface.rim_top = [[",
         "expected at least three points");
  expect([](RimMarks& r) { std::swap(r.top.points[0], r.top.points[2]); }, "10:1",
         "expected the leftmost point first and the rightmost third; the first lies 4");
  expect([](RimMarks& r) { r.top.points[1] = r.top.points[0]; }, "10:1",
         "two of the first three coincide");
  expect([](RimMarks& r) { r.top.points[2].y += 300; }, "10:1",
         "these make no ellipse: expected the second point to be the lowest of the near arc");
  expect([](RimMarks& r) { r.bottom.points[1].x += 900; }, "11:1",
         "expected the second point between");
  expect([](RimMarks& r) { std::swap(r.top.points, r.bottom.points); }, "11:1",
         "lies above rim_top in the photo");
  expect(
      [](RimMarks& r) {
        r.bottom.points = r.top.points;
        r.bottom.points[0].y += 60;
        r.bottom.points[2].y -= 55;
      },
      "11:1", "crosses rim_top");
  expect(
      [](RimMarks& r) { r.bottom.points[1].y = 2 * r.bottom.points[0].y - r.bottom.points[1].y; },
      "11:1", "from below while rim_top is seen from above");
  expect(
      [](RimMarks& r) {
        r.top.points.push_back({5, 5});
      },
      "10:1", "point 4 lies beyond the extremes");
  expect([](RimMarks& r) { r.top.points[1].x = std::nan(""); }, "10:1", "expected finite photo px");
}

TEST_CASE("Rims: outside the photo", "[surface][bad-input]") {
  Surface surface = Upright();
  for (MarkedRim* rim : {&surface.rims.top, &surface.rims.bottom}) {
    for (PhotoPx& p : rim->points) p.x += 2000;
  }
  const auto solved = SolveCamera(GivenFocal(1500), kPhoto, 0, {surface});
  REQUIRE_FALSE(solved);
  CHECK(FormatErrors(solved.errors()).find("lies outside the photo, which is 1600 x 1200 px") !=
        std::string::npos);
}

}  // namespace wheatpaste
