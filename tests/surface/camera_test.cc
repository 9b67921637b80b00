#include "surface/camera.h"

#include <catch2/catch.hpp>

#include <string>
#include <utility>
#include <vector>

namespace wheatpaste {
namespace {

Surface WithCorners(std::vector<PhotoPx> corners) {
  Surface surface;
  surface.corners = std::move(corners);
  return surface;
}

// The worked example of tests/geometry/quad_test.cc: f = 1000 px, centre (640, 480).
const std::vector<PhotoPx> kTelling{
    {490, 380}, {780.4576, 444.9413}, {695.972, 608.8086}, {410.8107, 583.6416}};
const std::vector<PhotoPx> kFlat{{100, 100}, {420, 100}, {420, 300}, {100, 300}};
constexpr SizePx kPhoto{1280, 960};

// A full-frame camera's 36 x 24 mm: a 50 mm lens on 3600 x 2400 px sees 50 mm as 5000 px.
TEST_CASE("Camera: a 35 mm equivalent compares diagonals", "[surface][closed-form]") {
  CHECK(FocalPxFrom35mm(50, {3600, 2400}) == Approx(5000));
  CHECK(FocalPxFrom35mm(50, {2400, 3600}) == Approx(5000));
  // 4 : 3: diagonal 5000 px over sqrt(36^2 + 24^2) = 43.2666 mm.
  CHECK(FocalPxFrom35mm(28, {4000, 3000}) == Approx(28 * 5000 / 43.26661530556787));
}

TEST_CASE("Camera: scene, then EXIF, then marked corners, then the default",
          "[surface][closed-form]") {
  const std::vector<Surface> telling{WithCorners(kFlat), WithCorners(kTelling)};
  Photo photo;
  Camera camera = FindCamera(photo, kPhoto, 0, telling);
  CHECK(camera.source == FocalSource::kSolved);
  CHECK(camera.focal_px == Approx(1000).margin(0.001));
  CHECK(camera.focal_sd_px == Approx(29).margin(1));
  CHECK_FALSE(camera.is_known());
  CHECK(camera.principal == PhotoPx{640, 480});

  camera = FindCamera(photo, kPhoto, 0, {WithCorners(kFlat)});
  CHECK(camera.source == FocalSource::kDefault);
  CHECK(camera.focal_px == Approx(FocalPxFrom35mm(kDefaultFocal35mm, kPhoto)));
  CHECK_FALSE(camera.is_known());

  camera = FindCamera(photo, kPhoto, 24, telling);
  CHECK(camera.source == FocalSource::kExif);
  CHECK(camera.focal_px == Approx(FocalPxFrom35mm(24, kPhoto)));
  CHECK(camera.is_known());

  photo.focal_35mm = 35;
  camera = FindCamera(photo, kPhoto, 24, telling);
  CHECK(camera.source == FocalSource::kScene);
  CHECK(camera.focal_px == Approx(FocalPxFrom35mm(35, kPhoto)));
  CHECK(camera.is_known());

  photo.focal_35mm.reset();
  photo.focal_px = 2950;
  camera = FindCamera(photo, kPhoto, 24, telling);
  CHECK(camera.focal_px == 2950);
  CHECK(camera.focal_sd_px == 0);
}

TEST_CASE("Camera: impossible corners do not decide the focal length", "[surface][bad-input]") {
  auto mirrored = kTelling;
  std::swap(mirrored[1], mirrored[3]);
  CHECK(FindCamera({}, kPhoto, 0, {WithCorners(mirrored)}).source == FocalSource::kDefault);
  CHECK(FindCamera({}, kPhoto, 0, {WithCorners({})}).source == FocalSource::kDefault);
}

TEST_CASE("Camera: every source has its words", "[surface][closed-form]") {
  CHECK(std::string(NameOf(FocalSource::kScene)) == "given in the scene");
  CHECK(std::string(NameOf(FocalSource::kExif)) == "from the photo's EXIF");
  CHECK(std::string(NameOf(FocalSource::kSolved)) == "solved from the marked corners");
  CHECK(std::string(NameOf(FocalSource::kDefault)) == "not known, assumed");
}

}  // namespace
}  // namespace wheatpaste
