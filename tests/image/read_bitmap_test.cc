// Files written by another program are read with the pixels that program sees in them.
//
// Source  ImageMagick 6.9.11-60 writes each file and reads it back to raw codes (commands below);
//         exiftool 12.57 sets orientation, focal length and density.
// Limit   exact: both sides decode lossless formats, and JPEG by the same transform.
#include <vector>

#include "image/read_support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

struct Case {
  const char* name;     // of the file
  const char* options;  // that make it from the base picture
  const char* raw;      // layout to compare in
  ColourModel model;
  bool alpha;
  int depth;
};

constexpr auto kGray = ColourModel::kGray;
constexpr auto kRgb = ColourModel::kRgb;
constexpr auto kCmyk = ColourModel::kCmyk;

// A slanted alpha with all values in it.
constexpr const char* kAlpha =
    "\\( -size 37x23 gradient: \\) -alpha off -compose CopyOpacity -composite";

void CheckCase(const TempFolder& folder, const Case& test, const std::string& extra = "") {
  const std::string path = folder / test.name;
  INFO(path << " " << test.options);
  WriteText(folder / "base.ppm", BasePpm(16));
  Convert(fmt::format("{} {} {} '{}'", folder / "base.ppm", test.options, extra, path));
  const Bitmap bitmap = MustRead(path);
  CHECK(bitmap.size == SizePx{kBaseWidth, kBaseHeight});
  CHECK(NameOf(bitmap.model) == std::string(NameOf(test.model)));
  CHECK(bitmap.has_alpha == test.alpha);
  CHECK(bitmap.depth == test.depth);
  const std::string raw = RawPixels(path, test.raw, test.depth);
  CHECK(Difference(CodesOf(bitmap, true), raw) == "same");
}

}  // namespace

TEST_CASE("PNG: every colour kind and depth has ImageMagick's pixels", "[image][reference]") {
  const TempFolder folder;
  const Case cases[] = {
      {"rgb8.png", "-depth 8 -define png:color-type=2", "rgb", kRgb, false, 8},
      {"rgb16.png", "-depth 16 -define png:color-type=2", "rgb", kRgb, false, 16},
      {"gray8.png", "-colorspace Gray -depth 8 -define png:color-type=0", "rgb", kGray, false, 8},
      {"gray16.png", "-colorspace Gray -depth 16 -define png:color-type=0", "rgb", kGray, false,
       16},
      {"gray1.png", "-colorspace Gray -monochrome -define png:bit-depth=1", "rgb", kGray, false, 8},
      {"gray4.png", "-colorspace Gray -depth 4 -define png:color-type=0 -define png:bit-depth=4",
       "rgb", kGray, false, 8},
      {"palette.png", "-colors 200 -depth 8 -define png:color-type=3", "rgb", kRgb, false, 8},
      {"palette2.png", "-colors 3 -depth 8 -define png:color-type=3", "rgb", kRgb, false, 8},
      {"interlaced.png", "-depth 8 -interlace PNG -define png:color-type=2", "rgb", kRgb, false, 8},
  };
  for (const Case& test : cases) CheckCase(folder, test);
  const Case with_alpha[] = {
      {"rgba8.png", "-depth 8", "rgba", kRgb, true, 8},
      {"rgba16.png", "-depth 16", "rgba", kRgb, true, 16},
  };
  for (const Case& test : with_alpha) {
    CheckCase(folder, test, std::string(kAlpha) + " -define png:color-type=6");
  }
  CheckCase(folder, {"graya8.png", "-colorspace Gray -depth 8", "rgba", kGray, true, 8},
            std::string(kAlpha) + " -define png:color-type=4 -define png:bit-depth=8");
  CheckCase(folder, {"graya16.png", "-colorspace Gray -depth 16", "rgba", kGray, true, 16},
            std::string(kAlpha) + " -define png:color-type=4 -define png:bit-depth=16");
  Convert(
      fmt::format("{0}/base.ppm -depth 8 -colors 20 \\( -size 37x23 xc:white -fill black -draw "
                  "'rectangle 3,3 9,9' \\) -alpha off -compose CopyOpacity -composite "
                  "png8:{0}/hole.png",
                  folder.path()));
  const Bitmap hole = MustRead(folder / "hole.png");
  CHECK(hole.has_alpha);
  CHECK(Difference(CodesOf(hole), RawPixels(folder / "hole.png", "rgba", 8)) == "same");
}

TEST_CASE("TIFF: layouts, byte orders and colour kinds have ImageMagick's pixels",
          "[image][reference]") {
  const TempFolder folder;
  const Case cases[] = {
      {"rgb8.tif", "-depth 8 -type TrueColor", "rgb", kRgb, false, 8},
      {"rgb16.tif", "-depth 16 -type TrueColor", "rgb", kRgb, false, 16},
      {"big.tif", "-depth 16 -type TrueColor -endian MSB", "rgb", kRgb, false, 16},
      {"lzw.tif", "-depth 8 -type TrueColor -compress LZW", "rgb", kRgb, false, 8},
      {"zip16.tif", "-depth 16 -type TrueColor -compress Zip -endian MSB", "rgb", kRgb, false, 16},
      {"packbits.tif", "-depth 8 -type TrueColor -compress RLE", "rgb", kRgb, false, 8},
      {"strips.tif", "-depth 8 -type TrueColor -define tiff:rows-per-strip=5", "rgb", kRgb, false,
       8},
      {"tiled.tif", "-depth 8 -type TrueColor -define tiff:tile-geometry=16x16", "rgb", kRgb, false,
       8},
      {"tiled16.tif", "-depth 16 -type TrueColor -define tiff:tile-geometry=16x32 -compress Zip",
       "rgb", kRgb, false, 16},
      {"planes.tif", "-depth 8 -type TrueColor -interlace plane", "rgb", kRgb, false, 8},
      {"planes16.tif", "-depth 16 -type TrueColor -interlace plane -compress LZW", "rgb", kRgb,
       false, 16},
      {"gray8.tif", "-colorspace Gray -depth 8 -type Grayscale", "rgb", kGray, false, 8},
      {"gray16.tif", "-colorspace Gray -depth 16 -type Grayscale", "rgb", kGray, false, 16},
      {"white0.tif", "-colorspace Gray -depth 8 -define quantum:polarity=min-is-white", "rgb",
       kGray, false, 8},
      {"white016.tif", "-colorspace Gray -depth 16 -define quantum:polarity=min-is-white", "rgb",
       kGray, false, 16},
      {"bilevel.tif", "-colorspace Gray -monochrome -depth 1 -compress Group4", "rgb", kGray, false,
       8},
      {"palette.tif", "-colors 60 -type Palette -depth 8", "rgb", kRgb, false, 8},
      {"cmyk8.tif", "-colorspace CMYK -depth 8", "cmyk", kCmyk, false, 8},
      {"cmyk16.tif", "-colorspace CMYK -depth 16", "cmyk", kCmyk, false, 16},
      {"cmykplanes.tif", "-colorspace CMYK -depth 8 -interlace plane", "cmyk", kCmyk, false, 8},
      {"jpeg.tif", "-depth 8 -type TrueColor -compress JPEG -quality 90", "rgb", kRgb, false, 8},
  };
  for (const Case& test : cases) CheckCase(folder, test);
  for (const auto& [name, depth, raw, gray] :
       {std::tuple{"rgba8.tif", 8, "rgba", ""}, std::tuple{"rgba16.tif", 16, "rgba", ""},
        std::tuple{"graya8.tif", 8, "rgba", "-colorspace Gray"}}) {
    const Case test{name, gray, raw, *gray ? kGray : kRgb, true, depth};
    CheckCase(folder, test,
              fmt::format("{} -depth {} -define tiff:alpha=unassociated", kAlpha, depth));
    CHECK_FALSE(MustRead(folder / name).alpha_premultiplied);
  }
}

TEST_CASE("TIFF: associated alpha is kept as stored and said to be premultiplied",
          "[image][closed-form]") {
  const TempFolder folder;
  // Opaque red 0.8 under alpha 0.5 is stored as 0.4 (TIFF 6.0, section 18).
  Convert("-size 4x4 xc:'rgba(204,0,0,0.5)' -depth 8 -define tiff:alpha=associated " +
          folder / "a.tif");
  const Bitmap bitmap = MustRead(folder / "a.tif");
  REQUIRE(bitmap.has_alpha);
  CHECK(bitmap.alpha_premultiplied);
  CHECK(std::abs(bitmap.row(0)[0] - 102) <= 1);
  CHECK(std::abs(bitmap.row(0)[3] - 128) <= 1);
}

TEST_CASE("TIFF: CIE Lab comes in the encoding of ICC profiles", "[image][reference]") {
  const TempFolder folder;
  // sRGB red is L 53.24, a 80.09, b 67.20 relative to D65 (CIE 1976 formulas; ImageMagick agrees).
  for (const int depth : {8, 16}) {
    const std::string path = folder / fmt::format("lab{}.tif", depth);
    Convert(fmt::format("-size 4x4 xc:red -colorspace Lab -depth {} {}", depth, path));
    const Bitmap bitmap = MustRead(path);
    REQUIRE(bitmap.model == ColourModel::kLab);
    REQUIRE(bitmap.depth == depth);
    double lab[3];
    for (int i = 0; i < 3; ++i) {
      lab[i] = depth == 8 ? bitmap.row(0)[i]
                          : (bitmap.row(0)[2 * i] + 256 * bitmap.row(0)[2 * i + 1]) / 257.0;
    }
    INFO("depth " << depth);
    // ImageMagick puts a = b = 0 at 127.5, half a code off; in 8 bits it cuts instead of rounding.
    const double margin = depth == 8 ? 1.5 : 0.6;
    CHECK(lab[0] / 2.55 == Approx(53.24).margin(margin / 2.55));
    CHECK(lab[1] - 128 == Approx(80.09).margin(margin));
    CHECK(lab[2] - 128 == Approx(67.20).margin(margin));
  }
}

TEST_CASE("JPEG: baseline, progressive, gray and CMYK have ImageMagick's pixels",
          "[image][reference]") {
  const TempFolder folder;
  const Case cases[] = {
      {"plain.jpg", "-quality 90", "rgb", kRgb, false, 8},
      {"halved.jpg", "-quality 80 -sampling-factor 2x2", "rgb", kRgb, false, 8},
      {"progressive.jpg", "-quality 85 -interlace JPEG", "rgb", kRgb, false, 8},
      {"gray.jpg", "-colorspace Gray -quality 90", "rgb", kGray, false, 8},
      {"cmyk.jpg", "-colorspace CMYK -quality 95", "cmyk", kCmyk, false, 8},
  };
  for (const Case& test : cases) CheckCase(folder, test);
}

TEST_CASE("JPEG: CMYK codes are 0 where there is no ink", "[image][closed-form]") {
  const TempFolder folder;
  Convert("-size 16x16 xc:white -colorspace CMYK -quality 100 " + folder / "white.jpg");
  const Bitmap bitmap = MustRead(folder / "white.jpg");
  REQUIRE(bitmap.model == ColourModel::kCmyk);
  for (const uint8_t code : bitmap.codes) REQUIRE(code <= 1);
}

TEST_CASE("WebP: lossless, lossy and alpha have ImageMagick's pixels", "[image][reference]") {
  const TempFolder folder;
  CheckCase(folder, {"exact.webp", "-depth 8 -define webp:lossless=true", "rgb", kRgb, false, 8});
  CheckCase(folder, {"lossy.webp", "-depth 8 -quality 90", "rgb", kRgb, false, 8});
  CheckCase(folder, {"alpha.webp", "-depth 8", "rgba", kRgb, true, 8},
            std::string(kAlpha) + " -define webp:lossless=true");
}

TEST_CASE("Density and profile are those that other programs wrote", "[image][reference]") {
  const TempFolder folder;
  WriteSrgbProfile(folder / "srgb.icc");
  WriteText(folder / "base.ppm", BasePpm(8));
  for (const char* name : {"a.png", "a.jpg", "a.tif", "a.webp"}) {
    const std::string path = folder / name;
    INFO(path);
    Convert(fmt::format("{0}/base.ppm -profile {0}/srgb.icc -units PixelsPerInch -density 300 {1}",
                        folder.path(), path));
    const Bitmap bitmap = MustRead(path);
    REQUIRE(bitmap.profile.has_value());
    CHECK(bitmap.profile->bytes() == Profile::Srgb().bytes());
    // PNG counts whole pixels a metre; ImageMagick writes no density into WebP.
    if (EndingOf(path) != "webp") CHECK(bitmap.ppi == Approx(300).margin(0.02));
  }
  Convert(fmt::format("{}/base.ppm -units PixelsPerCentimeter -density 100 {}/cm.tif",
                      folder.path(), folder.path()));
  CHECK(MustRead(folder / "cm.tif").ppi == Approx(254));
  Convert(fmt::format("{}/base.ppm -units Undefined -density 1 {}/none.jpg", folder.path(),
                      folder.path()));
  CHECK(MustRead(folder / "none.jpg").ppi == 0);
}

TEST_CASE("PNG: a file tagged sRGB by its own chunk carries the sRGB profile",
          "[image][reference]") {
  const TempFolder folder;
  WriteText(folder / "base.ppm", BasePpm(8));
  Convert(fmt::format("{0}/base.ppm -depth 8 {0}/tagged.png", folder.path()));
  MustRun("exiftool -q -overwrite_original -n -PNG:SRGBRendering=0 " + folder / "tagged.png");
  Convert(fmt::format("{0}/base.ppm -define png:exclude-chunk=all {0}/plain.png", folder.path()));
  CHECK(MustRead(folder / "tagged.png").profile.has_value());
  CHECK_FALSE(MustRead(folder / "plain.png").profile.has_value());
}

TEST_CASE("Profile for another colour model is an error that names both", "[image][bad-input]") {
  const TempFolder folder;
  WriteSrgbProfile(folder / "srgb.icc");
  WriteText(folder / "base.ppm", BasePpm(8));
  Convert(fmt::format("{0}/base.ppm -colorspace Gray {0}/gray.jpg", folder.path()));
  MustRun(fmt::format("exiftool -q -overwrite_original '-icc_profile<={0}/srgb.icc' {0}/gray.jpg",
                      folder.path()));
  const std::string error = ErrorOf(folder / "gray.jpg");
  CHECK_THAT(error, Catch::StartsWith("scene.toml:4:8: error: photo.file = "));
  CHECK_THAT(error, Catch::Contains("is for RGB, expected one for gray like the picture itself"));
}
