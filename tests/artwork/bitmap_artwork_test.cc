// Bitmaps as artwork: profiles, alpha, gray, resizing.
#include <cmath>
#include <cstring>

#include <catch2/catch.hpp>
#include <fmt/format.h>

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
        "an embedded ICC profile");
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

}  // namespace wheatpaste
