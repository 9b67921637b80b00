#include "surface/occluder.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "support.h"
#include "surface/plane_chart.h"
#include "surface/fit_plane.h"

namespace wheatpaste {
namespace {

constexpr SizePx kPhoto{120, 90};
const std::vector<PhotoPx> kCorners{{20.3, 11.7}, {97.6, 19.2}, {91.1, 80.4}, {14.9, 71.3}};

Surface MakeSurface() {
  Surface surface;
  surface.corners = kCorners;
  surface.size = SurfaceMm{400, 300};
  return surface;
}

// What the picture shows of the surface: its own outline, and what stands in front of it.
Result<ChartPicture> FindVisible(const Surface& surface, const Frame& frame) {
  Camera camera;
  camera.focal_px = 120;
  camera.principal = {60, 45};
  const auto plane = FitPlane(surface, kPhoto, camera);
  REQUIRE(plane);
  const auto occluder = Occluder::Read(surface.occlusion, kPhoto);
  if (!occluder) return occluder.errors();
  ChartPicture picture =
      PlaneChart(plane->photo_from_surface, plane->size, camera.lens).Picture(frame);
  occluder->Hide(frame, picture);
  return picture;
}

double Area(const std::vector<PhotoPx>& outline) {
  double twice = 0;
  for (size_t i = 0; i < outline.size(); ++i) {
    const PhotoPx &a = outline[i], &b = outline[(i + 1) % outline.size()];
    twice += a.x * b.y - b.x * a.y;
  }
  return std::abs(twice) / 2;
}

double Total(const ChartPicture& visibility) {
  double sum = 0;
  for (int64_t y = 0; y < visibility.seen.height(); ++y) {
    for (int64_t x = 0; x < visibility.seen.width(); ++x)
      sum += double{visibility.seen.row(0, y)[x]};
  }
  return sum;
}

// A gray picture of 8 bits as an uncompressed TIFF 6.0: header, nine tags, one strip. Written by hand, because
// encoders belong to a folder above this one.
std::string GrayTiff(SizePx size, const std::function<uint8_t(int64_t, int64_t)>& code) {
  std::string file("II*\0\10\0\0\0", 8);
  const auto put16 = [&](uint32_t v) {
    file += static_cast<char>(v & 255);
    file += static_cast<char>(v >> 8 & 255);
  };
  const auto put32 = [&](uint32_t v) {
    put16(v & 0xffff);
    put16(v >> 16);
  };
  constexpr uint32_t kTags = 9, kShort = 3, kLong = 4;
  const auto tag = [&](uint32_t id, uint32_t type, uint32_t value) {
    put16(id);
    put16(type);
    put32(1);
    put32(value);
  };
  const auto width = static_cast<uint32_t>(size.width), height = static_cast<uint32_t>(size.height);
  put16(kTags);
  tag(256, kLong, width);
  tag(257, kLong, height);
  tag(258, kShort, 8);  // bits a sample
  tag(259, kShort, 1);  // not compressed
  tag(262, kShort, 1);  // black is zero
  tag(273, kLong, 8 + 2 + 12 * kTags + 4);
  tag(277, kShort, 1);  // samples a pixel
  tag(278, kLong, height);
  tag(279, kLong, width * height);
  put32(0);
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) file += static_cast<char>(code(x, y));
  }
  return file;
}

// Limit   1e-6 a pixel of the outline, at most about 300 px of it.
TEST_CASE("Visibility: the whole of it is the outline's exact area at every size",
          "[surface][closed-form]") {
  const Surface surface = MakeSurface();
  for (const double scale : {0.25, 0.5, 1.0, 1.5, 4.0}) {
    const Frame frame =
        FramePhoto(kPhoto, {static_cast<int64_t>(120 * scale), static_cast<int64_t>(90 * scale)});
    INFO("scale " << frame.scale());
    const auto visibility = FindVisible(surface, frame);
    REQUIRE(visibility);
    CHECK(
        Total(*visibility) ==
        Approx(Area(kCorners) * frame.scale() * frame.scale()).margin(3e-4 * std::max(1.0, scale)));
  }
}

TEST_CASE("Visibility: a surface beside the picture's frame is not seen",
          "[surface][closed-form]") {
  Surface surface = MakeSurface();
  surface.corners = {{1, 20}, {9, 20}, {9, 70}, {1, 70}};
  // A square picture shows columns 15 to 105 of the photo.
  const auto visibility = FindVisible(surface, FramePhoto(kPhoto, {90, 90}));
  REQUIRE(visibility);
  CHECK(visibility->region.empty());
}

TEST_CASE("Visibility: what stands in front is taken away, exactly", "[surface][closed-form]") {
  Surface surface = MakeSurface();
  const std::vector<PhotoPx> hand{{40.5, 30.25}, {60.5, 30.25}, {50.5, 55.75}};
  surface.occlusion.in_front = {hand};
  const auto visibility = FindVisible(surface, FramePhoto(kPhoto, kPhoto));
  REQUIRE(visibility);
  CHECK(Total(*visibility) == Approx(Area(kCorners) - Area(hand)).margin(3e-4));
  const RectPx& region = visibility->region;
  CHECK(visibility->seen.row(0, 35 - region.y0)[50 - region.x0] == 0);
}

TEST_CASE("Visibility: a matte hides what is black and halves what is grey",
          "[surface][closed-form]") {
  const test::TempFolder folder;
  test::WriteText(folder / "matte.tif", GrayTiff(kPhoto, [](int64_t x, int64_t) {
                    return static_cast<uint8_t>(x < 40 ? 0 : x < 60 ? 51 : 255);
                  }));
  Surface surface = MakeSurface();
  surface.occlusion.matte =
      Placed<std::string>{folder / "matte.tif", {"wall.toml", 7, 9}, "surface.matte"};
  const auto visibility = FindVisible(surface, FramePhoto(kPhoto, kPhoto));
  REQUIRE(visibility);
  const RectPx& region = visibility->region;
  const float* row = visibility->seen.row(0, 45 - region.y0);
  CHECK(row[39 - region.x0] == 0);
  CHECK(row[45 - region.x0] == Approx(0.2));
  CHECK(row[80 - region.x0] == 1);
}

TEST_CASE("Visibility: a matte of another size is refused", "[surface][bad-input]") {
  const test::TempFolder folder;
  test::WriteText(folder / "matte.tif",
                  GrayTiff({60, 45}, [](int64_t, int64_t) { return uint8_t{255}; }));
  Surface surface = MakeSurface();
  surface.occlusion.matte =
      Placed<std::string>{folder / "matte.tif", {"wall.toml", 7, 9}, "surface.matte"};
  const auto visibility = FindVisible(surface, FramePhoto(kPhoto, kPhoto));
  REQUIRE_FALSE(visibility);
  CHECK(FormatError(visibility.errors().front()) ==
        "wall.toml:7:9: error: surface.matte = \"" + (folder / "matte.tif") +
            "\": is 60 x 45 px, expected the photo's own size, 120 x 90");
}

TEST_CASE("Visibility: a matte that is no picture is refused at its place",
          "[surface][bad-input]") {
  const test::TempFolder folder;
  test::WriteText(folder / "matte.png", "not a picture");
  Surface surface = MakeSurface();
  for (const char* name : {"matte.png", "missing.png"}) {
    surface.occlusion.matte =
        Placed<std::string>{folder / name, {"wall.toml", 7, 9}, "surface.matte"};
    const auto visibility = FindVisible(surface, FramePhoto(kPhoto, kPhoto));
    REQUIRE_FALSE(visibility);
    CHECK(FormatError(visibility.errors().front()).find("wall.toml:7:9: error: surface.matte = ") ==
          0);
  }
}

}  // namespace
}  // namespace wheatpaste
