#include <catch2/catch.hpp>

#include <string>
#include <utility>
#include <vector>

#include "support.h"
#include "surface/marked_scene.h"
#include "surface/marked_shape.h"
#include "surface/mesh_chart.h"
#include "surface/solve_camera.h"

namespace wheatpaste {
namespace {

using test::Picture;
using test::TrueCamera;
using test::TruePose;
using test::TurnBy;

constexpr SizePx kPhoto{1280, 960};
const TrueCamera kTruth{1500, {640, 480}};
const Place kFilePlace{"bag.toml", 9, 8}, kPinsPlace{"bag.toml", 12, 1};
// Points of the carton, its own axes: mm, y up, z to the viewer.
const std::vector<Eigen::Vector3d> kPoints{{-59, 159, 22.5}, {59, 159, 22.5}, {-59, 3, 22.5},
                                           {59, 3, 22.5},    {60, 150, -20},  {60, 10, -20}};

TruePose Turned() {
  TruePose pose;
  pose.rotation = TurnBy({0.2, 0, 0}) * TurnBy({0, 0.5, 0});
  pose.translation = {10, 80, 600};
  return pose;
}

Surface CartonMesh(size_t pins = 6) {
  Surface surface;
  surface.name.value = "carton";
  surface.shape = Shape::kMesh;
  surface.mesh.file = {test::SourcePath("assets-open/meshes/carton.obj"), kFilePlace,
                       "surface.file"};
  surface.mesh.pins_place = kPinsPlace;
  for (size_t i = 0; i < pins; ++i) {
    const Eigen::Vector3d& p = kPoints[i];
    surface.mesh.pins.push_back({"pin" + std::to_string(i),
                                 Picture(kTruth, Turned(), {p.x(), -p.y(), -p.z()}),
                                 p,
                                 {"bag.toml", 13 + static_cast<uint32_t>(i), 8}});
  }
  return surface;
}

Photo WithFocal(std::optional<double> focal_px) {
  Photo photo;
  photo.focal_px = focal_px;
  return photo;
}

std::string ErrorOf(const Surface& surface) {
  const auto solved = SolveCamera(WithFocal(1500), kPhoto, 0, {surface});
  REQUIRE_FALSE(solved);
  REQUIRE(solved.errors().size() == 1);
  return FormatError(solved.errors()[0]);
}

FittedSurface MustSolve(const Surface& surface) {
  auto solved = SolveCamera(WithFocal(1500), kPhoto, 0, {surface});
  if (!solved) FAIL(FormatErrors(solved.errors()));
  return std::move(solved->surfaces[0]);
}

Surface Posed(std::array<double, 6> pose) {
  Surface surface = CartonMesh(0);
  surface.mesh.pose = pose;
  return surface;
}

}  // namespace

TEST_CASE("Mesh: pins give back the pose they were made with", "[surface][closed-form]") {
  for (const size_t pins : {4u, 6u}) {
    const FittedSurface fitted = MustSolve(CartonMesh(pins));
    REQUIRE(fitted.pose);
    CHECK((fitted.pose->rotation - Turned().rotation).norm() < 1e-6);
    CHECK((fitted.pose->translation - Turned().translation).norm() < 1e-3);
    CHECK(fitted.residual_px < 1e-4);
    CHECK(fitted.pose_sd.has_value());
    CHECK(fitted.warnings.empty());
    CHECK(fitted.size.x == Approx(480).epsilon(0.01));
    REQUIRE(fitted.faces.size() == 1);
    CHECK(fitted.faces[0].charts.size() >= 2);
  }
}

TEST_CASE("Mesh: pins in depth tell the focal length", "[surface][closed-form]") {
  const auto solved = SolveCamera(WithFocal(std::nullopt), kPhoto, 0, {CartonMesh()});
  REQUIRE(solved);
  CHECK(solved->camera.source == FocalSource::kSolved);
  CHECK(solved->camera.focal_px == Approx(1500).epsilon(1e-4));
}

TEST_CASE("Mesh: a given pose is taken as it is, in degrees", "[surface][closed-form]") {
  const FittedSurface fitted = MustSolve(Posed({0, 90, 0, 5, 80, 700}));
  Eigen::Matrix3d quarter;
  quarter << 0, 0, 1, 0, 1, 0, -1, 0, 0;
  CHECK((fitted.pose->rotation - quarter).norm() < 1e-12);
  CHECK(fitted.pose->translation == Eigen::Vector3d(5, 80, 700));
  CHECK_FALSE(fitted.pose_sd.has_value());
}

TEST_CASE("Mesh: a stated size that the mesh contradicts is a warning", "[surface][bad-input]") {
  Surface surface = CartonMesh();
  surface.size = SurfaceMm{960, 480};
  const FittedSurface fitted = MustSolve(surface);
  CHECK(fitted.size == SurfaceMm{960, 480});
  REQUIRE(fitted.warnings.size() == 1);
  // Half along u, right along v: sqrt(0.5^2 / 2) = 35 %.
  CHECK(fitted.warnings[0] ==
        "the flat pattern is stretched: its mm differ from those of the mesh by 35 % root mean "
        "square; by the mesh itself the uv square measures 480 x 480.1 mm");
}

TEST_CASE("Mesh: a pin set badly is a warning, one set wrongly an error", "[surface][bad-input]") {
  Surface surface = CartonMesh();
  surface.mesh.pins[3].photo.x += 12;
  const FittedSurface fitted = MustSolve(surface);
  REQUIRE(fitted.warnings.size() == 1);
  CHECK(fitted.warnings[0].starts_with("the pins do not fit the mesh: off by "));
  CHECK(fitted.warnings[0].find(" px at pin3, ") != std::string::npos);
  surface.mesh.pins[3].photo.x += 300;
  const std::string error = ErrorOf(surface);
  CHECK(error.find("contradicts the other pins: off by ") != std::string::npos);
  CHECK(error.starts_with("bag.toml:1"));
}

TEST_CASE("Mesh: impossible pins are told", "[surface][bad-input]") {
  Surface few = CartonMesh(3);
  CHECK(ErrorOf(few) == "bag.toml:12:1: error: surface.pins: expected at least four pins");

  Surface twice = CartonMesh();
  twice.mesh.pins[2].object = twice.mesh.pins[0].object;
  CHECK(ErrorOf(twice).find(
            "coincides with the pin pin0 on the mesh; expected pins that lie apart") !=
        std::string::npos);

  Surface line = CartonMesh(4);
  for (size_t i = 0; i < 4; ++i)
    line.mesh.pins[i].object = Eigen::Vector3d(1, 2, 3) * static_cast<double>(i);
  CHECK(ErrorOf(line) ==
        "bag.toml:12:1: error: surface.pins: the pins lie on one line on the mesh; expected pins "
        "spread over the mesh");
  Surface pictured = CartonMesh(4);
  for (size_t i = 0; i < 4; ++i)
    pictured.mesh.pins[i].photo = {100.0 + 50 * static_cast<double>(i), 200};
  CHECK(ErrorOf(pictured) ==
        "bag.toml:12:1: error: surface.pins: the pins lie on one line in the photo; expected pins "
        "spread over the mesh");
}

TEST_CASE("Mesh: impossible poses and turned faces are told", "[surface][bad-input]") {
  CHECK(ErrorOf(Posed({0, 0, 0, 0, 0, -500})) ==
        "bag.toml:9:8: error: surface.pose: the mesh lies behind the camera; expected it before "
        "it, z "
        "away above 0");
  CHECK(
      ErrorOf(Posed({0, 0, 0, 5000, 0, 500})) ==
      "bag.toml:9:8: error: surface.pose: the mesh lies outside the photo, which is 1280 x 960 px");
  const test::TempFolder folder;
  test::WriteText(
      folder / "sheet.obj",
      "v 0 0 0\nv 9 0 0\nv 9 9 0\nv 0 9 0\nvt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\nf 1/1 2/2 3/3 4/4\n");
  Surface sheet = Posed({0, 180, 0, 0, 0, 100});
  sheet.mesh.file.value = folder / "sheet.obj";
  CHECK(ErrorOf(sheet) ==
        "bag.toml:9:8: error: surface.pose: the mesh is seen from behind; expected faces whose "
        "corners "
        "run counter-clockwise as seen from the camera");
  sheet.mesh.file.value = folder / "none.obj";
  CHECK(ErrorOf(sheet) == "bag.toml:9:8: error: surface.file = \"" + folder.path() +
                              "/none.obj\": cannot open, no such file");
}

}  // namespace wheatpaste
