// Turned pictures come upright, with the orientation kept on record.
//
// Source  exiftool 12.57 writes the tag; ImageMagick 6.9.11-60, -auto-orient, turns the pixels.
#include "image/orient.h"
#include "image/read_support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

TEST_CASE("JPEG: all eight EXIF orientations come upright", "[image][reference]") {
  const TempFolder folder;
  WriteText(folder / "base.ppm", BasePpm(8));
  Convert(fmt::format("{0}/base.ppm -quality 95 {0}/stored.jpg", folder.path()));
  for (int orientation = 1; orientation <= 8; ++orientation) {
    INFO("orientation " << orientation);
    const std::string path = folder / fmt::format("turned{}.jpg", orientation);
    MustRun(fmt::format("exiftool -q -o {} -n -Orientation={} -FocalLengthIn35mmFormat=28 {}", path,
                        orientation, folder / "stored.jpg"));
    const Bitmap bitmap = MustRead(path);
    CHECK(bitmap.exif.orientation == orientation);
    CHECK(bitmap.exif.focal_35mm == 28);
    CHECK(bitmap.size.width == (orientation < 5 ? kBaseWidth : kBaseHeight));
    CHECK(Difference(CodesOf(bitmap), RawPixels(path, "rgb", 8, "-auto-orient")) == "same");
  }
}

TEST_CASE("TIFF: all eight orientations come upright, 8 and 16 bits", "[image][reference]") {
  const TempFolder folder;
  WriteText(folder / "base.ppm", BasePpm(16));
  const char* names[] = {"TopLeft", "TopRight", "BottomRight", "BottomLeft",
                         "LeftTop", "RightTop", "RightBottom", "LeftBottom"};
  for (int orientation = 1; orientation <= 8; ++orientation) {
    for (const int depth : {8, 16}) {
      INFO("orientation " << orientation << ", depth " << depth);
      const std::string path = folder / fmt::format("turned{}-{}.tif", orientation, depth);
      Convert(fmt::format("{} -depth {} -type TrueColor -orient {} {}", folder / "base.ppm", depth,
                          names[orientation - 1], path));
      const Bitmap bitmap = MustRead(path);
      CHECK(bitmap.exif.orientation == orientation);
      CHECK(Difference(CodesOf(bitmap), RawPixels(path, "rgb", depth, "-auto-orient")) == "same");
    }
  }
}

TEST_CASE("PNG and WebP: an EXIF chunk turns the picture", "[image][reference]") {
  const TempFolder folder;
  WriteText(folder / "base.ppm", BasePpm(8));
  for (const char* name : {"a.png", "a.webp"}) {
    INFO(name);
    const std::string path = folder / name;
    Convert(fmt::format("{}/base.ppm -depth 8 -define webp:lossless=true {}", folder.path(), path));
    const std::string stored = RawPixels(path, "rgb", 8, "-rotate 90");
    MustRun(fmt::format(
        "exiftool -q -overwrite_original -n -Orientation=6 -FocalLengthIn35mmFormat=35 {}", path));
    const Bitmap bitmap = MustRead(path);
    CHECK(bitmap.exif.orientation == 6);
    CHECK(bitmap.exif.focal_35mm == 35);
    CHECK(Difference(CodesOf(bitmap), stored) == "same");
  }
}

TEST_CASE("Turning: each orientation followed by its inverse gives every layout back",
          "[image][closed-form]") {
  constexpr int kInverse[] = {0, 1, 2, 3, 4, 5, 8, 7, 6};
  for (int orientation = 1; orientation <= 8; ++orientation) {
    for (const auto model : {ColourModel::kGray, ColourModel::kRgb, ColourModel::kCmyk}) {
      for (const bool alpha : {false, true}) {
        for (const int depth : {8, 16}) {
          Bitmap bitmap;
          bitmap.size = {131, 70};
          bitmap.model = model;
          bitmap.has_alpha = alpha;
          bitmap.depth = depth;
          for (int64_t i = 0; i < bitmap.row_bytes() * bitmap.size.height; ++i) {
            bitmap.codes.push_back(static_cast<uint8_t>(i * 7 + i / 251));
          }
          const Bytes before = bitmap.codes;
          bitmap.exif.orientation = orientation;
          TurnUpright(bitmap);
          if (orientation > 1) REQUIRE(bitmap.codes != before);
          bitmap.exif.orientation = kInverse[orientation];
          TurnUpright(bitmap);
          REQUIRE(bitmap.size == SizePx{131, 70});
          REQUIRE(bitmap.codes == before);
        }
      }
    }
  }
}
