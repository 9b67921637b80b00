#include "scene/sizes.h"

#include <catch2/catch.hpp>

#include "scene/output_spec.h"
#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

Result<PictureSize> Read(const std::string& text) {
  return ReadPictureSize({text, {"--size " + text}, ""}, SourcePath("."));
}

std::string Px(const std::string& text, double ppi) {
  const Result<PictureSize> size = Read(text);
  if (!size.ok()) return FormatErrors(size.errors());
  const SizePx px = size->ToPixels({ppi});
  return std::to_string(px.width) + "x" + std::to_string(px.height);
}

std::string WithBleed(const std::string& text, double bleed_mm) {
  OutputSpec spec;
  spec.size = Read(text).value();
  spec.bleed_mm = bleed_mm;
  const SizePx px = SheetSizeOf(spec)->with_bleed;
  return std::to_string(px.width) + "x" + std::to_string(px.height);
}

}  // namespace

// Source  ISO 216:2007 sides; office and out-of-home sides as the trade states them (printers' and
// site
//         owners' pages, Outdoor Advertising Association). Pixels are round(mm / 25.4 * ppi),
//         computed apart from this program.
// Taken   all rows, at 300, 150 and 30 ppi, and at 300 with 3 mm and 1/8 in of bleed, in
//         tests/published/print_sizes.csv.
// Limit   exact.
TEST_CASE("Sizes: every named sheet at 300, 150 and 30 ppi, and with bleed", "[scene][published]") {
  const auto rows = ReadCsv(SourcePath("tests/published/print_sizes.csv"));
  CHECK(rows.size() == 43);
  for (const auto& row : rows) {
    REQUIRE(row.size() == 13);
    INFO(row[0]);
    CHECK(Px(row[0], 300) == row[3] + "x" + row[4]);
    CHECK(Px(row[0], 150) == row[5] + "x" + row[6]);
    CHECK(Px(row[0], 30) == row[7] + "x" + row[8]);
    CHECK(Px(row[1] + "x" + row[2] + "mm", 300) == row[3] + "x" + row[4]);
    CHECK(WithBleed(row[0], 3) == row[9] + "x" + row[10]);
    CHECK(WithBleed(row[0], 25.4 / 8) == row[11] + "x" + row[12]);
  }
}

TEST_CASE("Sizes: pixels, inches and names in any case", "[scene][closed-form]") {
  CHECK(Px("1600x1200", 300) == "1600x1200");
  CHECK(Px("1600X1200", 72) == "1600x1200");
  CHECK(Px("8.5x11in", 300) == "2550x3300");
  CHECK(Px("25.4x50.8MM", 100) == "100x200");
  CHECK(Px("a4", 300) == "2480x3508");
  CHECK(Px("Slide", 300) == "1920x1080");
  CHECK(Px("tall", 300) == "1080x1920");
  CHECK(Px("square", 300) == "1080x1080");
  CHECK(Px("60000x1", 300) == "60000x1");
  CHECK(Px("slide 4K", 300) == "3840x2160");
  CHECK(Px("A3 landscape", 300) == "4961x3508");
  CHECK(Px("tall Landscape", 300) == "1920x1080");
  CHECK(Px("UK 48-sheet landscape", 30) == Px("UK 48-sheet", 30));
  CHECK(Read("A4")->printed());
  CHECK_FALSE(Read("slide")->printed());
}

TEST_CASE("Sizes: what is no size", "[scene][bad-input]") {
  const std::string forms =
      "expected WIDTHxHEIGHT in px, such as 1600x1200, in mm or in, such as "
      "210x297mm, or one of slide, slide 4K, tall, square, A0, A1, ";
  for (const std::string text : {"40x", "x40", "", "40", "40x30x20", "40x30cm", "-4x3", "4 x 3",
                                 "1e3x2", "nanx1", ".5x3", "1..2x3", "0x10x10"}) {
    const std::string errors = Px(text, 300);
    CHECK(errors.starts_with("--size " + text + ": error: " + forms));
  }
  CHECK(Px("squre", 300).ends_with("; did you mean square?\n"));
  const std::string sides = ": error: expected whole sides of 1 to 60000 px\n";
  for (const std::string text : {"0x10", "10x60001", "1.5x2", "99999999999999999999x1"}) {
    CHECK(Px(text, 300) == "--size " + text + sides);
  }
  CHECK(Px("0x1mm", 300) == "--size 0x1mm: error: expected sides above 0 mm, at most 100000 mm\n");
}

TEST_CASE("Sizes: in a file the error names place, key and value", "[scene][bad-input]") {
  const Result<PictureSize> size =
      ReadPictureSize({"0x5", {"sheet.toml", 12, 8}, "output.size"}, SourcePath("."));
  REQUIRE_FALSE(size.ok());
  CHECK(FormatErrors(size.errors()) ==
        "sheet.toml:12:8: error: output.size = \"0x5\": expected whole sides of 1 to 60000 px\n");
}

TEST_CASE("Sizes: limits hold at the density that is asked for", "[scene][bad-input]") {
  const Placed<std::string> text{"A0", {"--size A0"}, ""};
  const PictureSize a0 = Read("A0").value();
  REQUIRE(PixelsWithinLimits(a0, {300}, text).ok());
  CHECK(PixelsWithinLimits(a0, {300}, text).value() == SizePx{9933, 14043});
  const Result<SizePx> large = PixelsWithinLimits(a0, {3000}, text);
  REQUIRE_FALSE(large.ok());
  CHECK(FormatErrors(large.errors()) ==
        "--size A0: error: expected sides of 1 to 60000 px; at 3000 ppi they are 99331 and 140433 "
        "px; 1281 ppi fits\n");
  // The same limit in arithmetic: 60000 px / 1189 mm x 25.4 = 1281.7 ppi.
  CHECK(PixelsWithinLimits(a0, {1281}, text).ok());
  CHECK_FALSE(PixelsWithinLimits(a0, {1282}, text).ok());
  CHECK_FALSE(PixelsWithinLimits(a0, {1e300}, text).ok());
  CHECK_FALSE(PixelsWithinLimits(a0, {0.001}, text).ok());
}
