// Bitmaps as artwork: profiles, alpha, gray, resizing.
#include <cmath>
#include <cstring>

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <lcms2.h>

#include "artwork/bitmap_artwork.h"
#include "artwork_support.h"
#include "colour/srgb.h"
#include "support.h"

namespace wheatpaste {
namespace {

Bitmap MakeBitmap(SizePx size, bool has_alpha, bool multiplied, std::vector<uint8_t> codes) {
  Bitmap bitmap;
  bitmap.size = size;
  bitmap.has_alpha = has_alpha;
  bitmap.alpha_premultiplied = multiplied;
  bitmap.codes = Bytes(codes.begin(), codes.end());
  return bitmap;
}

Image<LinearPremul> Linear(const Bitmap& bitmap) {
  auto picture = LinearFromBitmap(bitmap, test::At("art.png"));
  if (!picture) FAIL(FormatErrors(picture.errors()));
  return std::move(*picture);
}

}  // namespace

// Limit  1e-6: single precision of values up to 1.
TEST_CASE("Bitmap alpha: multiplied after linearising; hidden colour is gone",
          "[artwork][closed-form]") {
  const auto apart = Linear(MakeBitmap({2, 1}, true, false, {204, 51, 0, 102, 255, 255, 255, 0}));
  CHECK(apart.row(3, 0)[0] == Approx(0.4).margin(1e-6));
  CHECK(apart.row(0, 0)[0] == Approx(0.4 * LinearFromSrgb(0.8)).margin(1e-6));
  CHECK(apart.row(1, 0)[0] == Approx(0.4 * LinearFromSrgb(0.2)).margin(1e-6));
  for (int plane = 0; plane < 4; ++plane) CHECK(apart.row(plane, 0)[1] == 0);
  // The same pixel as a file stores it multiplied: 204 * 0.4 = 81.6, so from code 82 = 0.804 * 0.4.
  const auto joined = Linear(MakeBitmap({2, 1}, true, true, {82, 20, 0, 102, 9, 9, 9, 0}));
  CHECK(joined.row(0, 0)[0] == Approx(0.4 * LinearFromSrgb(82 / 102.0)).margin(1e-5));
  CHECK(joined.row(1, 0)[0] == Approx(0.4 * LinearFromSrgb(20 / 102.0)).margin(1e-5));
  for (int plane = 0; plane < 4; ++plane) CHECK(joined.row(plane, 0)[1] == 0);
}

TEST_CASE("Bitmap gray and CMYK without a profile", "[artwork][bad-input]") {
  Bitmap gray = MakeBitmap({1, 1}, false, false, {128});
  gray.model = ColourModel::kGray;
  const auto picture = Linear(gray);
  for (int plane = 0; plane < 3; ++plane) {
    CHECK(picture.row(plane, 0)[0] == Approx(LinearFromSrgb(128 / 255.0)).margin(1e-5));
  }
  Bitmap inks = MakeBitmap({1, 1}, false, false, {1, 2, 3, 4});
  inks.model = ColourModel::kCmyk;
  const auto refused = LinearFromBitmap(inks, test::At("art.tif"));
  REQUIRE_FALSE(refused.ok());
  CHECK(FormatError(refused.errors()[0]) ==
        "scene.toml:4:11: error: placement.artwork = \"art.tif\": CMYK without a profile: expected "
        "an embedded ICC profile, or a print condition that stands in for it");
}

// Limit  2e-5 where LittleCMS converts: its sRGB keeps matrix and white in steps of 1/65536.
TEST_CASE("Bitmap PNG: read, noted as untagged, resized without bleeding hidden colour",
          "[artwork][closed-form]") {
  const test::TempFolder folder;
  // Left half opaque #336699, right half clear with hidden white.
  REQUIRE(
      test::Run(fmt::format("cd '{}' && convert -size 20x40 xc:'#336699ff' xc:'#ffffff00' +append "
                            "PNG32:art.png",
                            folder.path()))
          .status == 0);
  const auto art = ReadArtwork(test::At(folder / "art.png"));
  REQUIRE(art.ok());
  CHECK((*art)->pixels() == SizePx{40, 40});
  CHECK((*art)->aspect() == 1);
  CHECK((*art)->colour_description() == "sRGB (assumed)");
  REQUIRE((*art)->notes().size() == 1);
  const auto same = (*art)->Rasterise({40, 40});
  REQUIRE(same.ok());
  CHECK(same->row(2, 3)[3] == Approx(LinearFromSrgb(0.6)).margin(2e-5));
  const auto larger = (*art)->Rasterise({93, 93});
  REQUIRE(larger.ok());
  for (int64_t x = 0; x < 93; ++x) {
    const double alpha = larger->row(3, 40)[x];
    CHECK(alpha >= 0);
    CHECK(alpha <= 1);
    // Everywhere the colour is the opaque half's, never a share of the hidden white.
    if (alpha > 0 && alpha < 1) {
      CHECK(larger->row(2, 40)[x] == Approx(alpha * LinearFromSrgb(0.6)).margin(2e-5));
    }
  }
}

TEST_CASE("Bitmap parts: the same bits as in the whole, enlarged, reduced and as it is",
          "[artwork][invariant]") {
  const test::TempFolder folder;
  REQUIRE(
      test::Run(fmt::format("cd '{}' && convert -size 211x97 -seed 4 plasma:red-blue -alpha set "
                            "-channel A -evaluate Uniform-noise 1 PNG32:art.png",
                            folder.path()))
          .status == 0);
  const auto art = ReadArtwork(test::At(folder / "art.png"));
  REQUIRE(art.ok());
  for (const SizePx size : {SizePx{211, 97}, SizePx{500, 300}, SizePx{60, 41}}) {
    const auto whole = (*art)->Rasterise(size);
    REQUIRE(whole.ok());
    const int64_t w = size.width, h = size.height;
    for (const RectPx part : {RectPx{0, 0, w, h}, RectPx{0, 0, 7, 5},
                              RectPx{w / 3, h / 4, w - 9, h}, RectPx{w - 1, h - 1, w, h}}) {
      CAPTURE(w, part.x0, part.y0);
      const auto alone = (*art)->RasterisePart(size, part);
      REQUIRE(alone.ok());
      Image<LinearPremul> cut({part.width(), part.height()});
      cut.Put(0, whole->view().Part(part));
      CHECK(test::LargestDifference(cut, *alone) == 0);
    }
  }
}

// Source  closed form: the matrix that follows from the primaries of both spaces (IEC 61966-2-1;
//         the wider ones as in SMPTE EG 432-1, white D65), and the sRGB curve.
// Limit   5e-4: the profile keeps its matrix and the adaptation to D50 in steps of 1/65536.
TEST_CASE("Bitmap profile: a wide space keeps its colours, beyond sRGB too",
          "[artwork][closed-form]") {
  const cmsCIExyY white{0.3127, 0.3290, 1};
  const cmsCIExyYTRIPLE wide{{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}};
  const cmsCIExyYTRIPLE narrow{{0.640, 0.330, 1}, {0.300, 0.600, 1}, {0.150, 0.060, 1}};
  const double curve[] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  cmsToneCurve* tone = cmsBuildParametricToneCurve(nullptr, 4, curve);
  cmsToneCurve* const tones[] = {tone, tone, tone};
  const test::TempFolder folder;
  const cmsHPROFILE profile = cmsCreateRGBProfile(&white, &wide, tones);
  REQUIRE(cmsSaveProfileToFile(profile, (folder / "wide.icc").c_str()));
  cmsCloseProfile(profile);
  cmsFreeToneCurve(tone);
  REQUIRE(
      test::Run(fmt::format("cd '{}' && convert -size 3x3 xc:'rgb(20,230,60)' -profile wide.icc "
                            "PNG24:art.png",
                            folder.path()))
          .status == 0);
  const auto xyz_from = [&](const cmsCIExyYTRIPLE& space) {
    Eigen::Matrix3d columns;
    int i = 0;
    for (const cmsCIExyY& one : {space.Red, space.Green, space.Blue}) {
      columns.col(i++) = Eigen::Vector3d(one.x / one.y, 1, (1 - one.x - one.y) / one.y);
    }
    const Eigen::Vector3d target(white.x / white.y, 1, (1 - white.x - white.y) / white.y);
    const Eigen::Vector3d scale = columns.inverse() * target;
    return Eigen::Matrix3d(columns * scale.asDiagonal());
  };
  const Eigen::Vector3d codes(LinearFromSrgb(20 / 255.0), LinearFromSrgb(230 / 255.0),
                              LinearFromSrgb(60 / 255.0));
  const Eigen::Vector3d expected = xyz_from(narrow).inverse() * xyz_from(wide) * codes;
  const auto art = ReadArtwork(test::At(folder / "art.png"));
  REQUIRE(art.ok());
  CHECK((*art)->notes().empty());
  const auto raster = (*art)->Rasterise({3, 3});
  REQUIRE(raster.ok());
  CHECK(expected[0] < 0);  // outside sRGB
  for (int plane = 0; plane < 3; ++plane) {
    CAPTURE(plane);
    CHECK(raster->row(plane, 1)[1] == Approx(expected[plane]).margin(5e-4));
  }
}

}  // namespace wheatpaste
