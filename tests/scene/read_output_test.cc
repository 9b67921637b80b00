#include "scene/read_output.h"

#include <catch2/catch.hpp>

#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

const std::string kStart = "name = \"board\"\nformat = \"tiff\"\n";  // lines 1 and 2

Result<OutputSpec> Read(const std::string& text) {
  const TomlNode table = ParseToml(text, "sheet.toml").value();
  Mistakes mistakes("sheet.toml");
  TableReader reader(table, "output", mistakes);
  const ScenePaths paths("/sheets/sheet.toml", {SourcePath("."), {}});
  OutputSpec spec =
      ReadOutput(reader, SourcePath("."), paths, {{"kraft", Srgb8{0xc4, 0xa0, 0x78}, {}}});
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  return spec;
}

// Without "sheet.toml:", of which each line has one.
std::string ErrorsOf(const std::string& text) {
  const auto spec = Read(text);
  if (spec.ok()) return "";
  std::string errors = FormatErrors(spec.errors());
  for (size_t at = 0; (at = errors.find("sheet.toml:")) != std::string::npos;) errors.erase(at, 11);
  return errors;
}

std::string SheetOf(const std::string& lines) {
  const auto spec = Read(kStart + lines);
  if (!spec.ok()) return FormatErrors(spec.errors());
  const SheetSize sheet = SheetSizeOf(*spec).value();
  return fmt::format("{}x{} {}x{}", sheet.trimmed.width, sheet.trimmed.height,
                     sheet.with_bleed.width, sheet.with_bleed.height);
}

}  // namespace

TEST_CASE("Output: every key of it", "[scene][closed-form]") {
  const auto spec = Read(
      "name = \"board\"\nsize = \"A3 landscape\"\nppi = 150\nformat = \"tif\"\nfit = \"contain\"\n"
      "ground = \"#f4efe6\"\nbleed = 3\ncrop_marks = true\nprofile = \"coated offset\"\ndepth = "
      "16\n"
      "compression = \"lzw\"\ntiles = true\nsharp_artwork = true\n");
  REQUIRE(spec.ok());
  CHECK(spec->name.value == "board");
  CHECK(spec->format.value == "tiff");
  CHECK(spec->size_text.value == "A3 landscape");
  CHECK(DensityOf(*spec).value == 150);
  CHECK(spec->fit == PictureFit::kContain);
  CHECK(spec->ground == Srgb8{0xf4, 0xef, 0xe6});
  CHECK(spec->bleed_mm == 3);
  CHECK(spec->crop_marks);
  CHECK(spec->profile->value == "coated offset");
  CHECK(spec->profile->place.line == 9);
  CHECK(spec->depth == 16);
  CHECK(spec->compression == Compression::kLzw);
  CHECK(spec->tiles);
  CHECK(spec->sharp_artwork);
}

TEST_CASE("Output: a swatch as ground, a profile's file beside the sheet", "[scene][closed-form]") {
  const auto spec =
      Read(kStart + "size = \"A4\"\nfit = \"contain\"\nground = \"kraft\"\nprofile = \"p.icc\"\n");
  REQUIRE(spec.ok());
  CHECK(spec->ground == Srgb8{0xc4, 0xa0, 0x78});
  CHECK(spec->profile->value == "/sheets/p.icc");
  CHECK(ErrorsOf(kStart + "profile = \"/etc/p.icc\"\n").starts_with("3:11: error: output.profile"));
}

TEST_CASE("Output: a view from a distance, seen with a deficiency", "[scene][closed-form]") {
  const auto spec =
      Read(kStart + "from_metres = 4\nppi = 72\nvision = \"deutan\"\nseverity = 0.6\n");
  REQUIRE(spec.ok());
  CHECK(spec->from_metres->value == 4);
  CHECK(spec->from_metres->place.line == 3);
  CHECK(spec->from_metres->key == "output.from_metres");
  CHECK_FALSE(SheetSizeOf(*spec));
  CHECK(DensityOf(*spec).value == 72);
  CHECK(spec->vision->deficiency == ColourDeficiency::kDeutan);
  CHECK(spec->vision->severity == 0.6);
  CHECK(Read(kStart + "vision = \"tritan\"\n")->vision->severity == 1);
}

TEST_CASE("Output: a distance and a vision that cannot be", "[scene][bad-input]") {
  const auto errors = [](const std::string& lines) { return ErrorsOf(kStart + lines); };
  for (const std::string far : {"0", "0.05", "10001", "-4"}) {
    CHECK(errors("from_metres = " + far + "\n") ==
          "3:15: error: output.from_metres = " + far +
              ": expected a distance in metres from 0.1 to 10000\n");
  }
  CHECK(errors("size = \"A4\"\nfrom_metres = 4\n") ==
        "4:15: error: output.from_metres = 4: expected no size beside it: the distance says how "
        "large the picture is\n");
  const std::string beside =
      ": expected a size beside it in place of a distance, which shows all of the photo\n";
  CHECK(errors("from_metres = 4\nbleed = 3\ncrop_marks = true\nfit = \"contain\"\n"
               "pixel_ratio = 2\n") == "4:9: error: output.bleed = 3" + beside +
                                           "5:14: error: output.crop_marks = true" + beside +
                                           "6:7: error: output.fit = \"contain\"" + beside +
                                           "7:15: error: output.pixel_ratio = 2" + beside);
  CHECK(errors("vision = \"duetan\"\n") ==
        "3:10: error: output.vision = \"duetan\": expected \"protan\", \"deutan\" or "
        "\"tritan\"; did you mean deutan?\n");
  CHECK(errors("vision = 3\n") ==
        "3:10: error: output.vision = 3: expected \"protan\", \"deutan\" or \"tritan\"\n");
  CHECK(errors("vision = \"protan\"\nseverity = 1.5\n") ==
        "4:12: error: output.severity = 1.5: expected a number from 0 to 1\n");
  CHECK(errors("severity = 0.5\n") ==
        "3:12: error: output.severity = 0.5: expected a vision beside it\n");
}

TEST_CASE("Output: what stands in for keys left out", "[scene][closed-form]") {
  const auto spec = Read("name = \"as it is\"\nformat = \"jpg\"\n");
  REQUIRE(spec.ok());
  CHECK(spec->format.value == "jpeg");
  CHECK_FALSE(SheetSizeOf(*spec));
  CHECK(DensityOf(*spec).value == 96);
  CHECK_FALSE(spec->quality);
  CHECK_FALSE(spec->from_metres);
  CHECK_FALSE(spec->vision);
  CHECK_FALSE(spec->depth);
  CHECK(spec->fit == PictureFit::kCover);
  CHECK(spec->compression == Compression::kDeflate);
  CHECK(DensityOf(*Read(kStart + "size = \"A4\"\n")).value == 300);
  CHECK(DensityOf(*Read(kStart + "size = \"slide\"\n")).value == 96);
}

// By hand: 2 x 3 mm at 300 ppi are 70.87 px, at 254 ppi 60; 216 mm at 300 ppi 2551.2 px.
TEST_CASE("Output: device pixels, and bleed in px", "[scene][closed-form]") {
  CHECK(SheetOf("size = \"A4\"\nbleed = 3\n") == "2480x3508 2551x3579");
  CHECK(SheetOf("size = \"slide\"\npixel_ratio = 2\n") == "3840x2160 3840x2160");
  CHECK(SheetOf("size = \"375x667\"\npixel_ratio = 1.5\n") == "563x1001 563x1001");
  CHECK(SheetOf("size = \"1000x500\"\nppi = 254\nbleed = 3\n") == "1000x500 1060x560");
}

TEST_CASE("Output: mistakes in its values", "[scene][bad-input]") {
  CHECK(ErrorsOf("size = \"A4\"\n") ==
        "1:1: error: output.name: missing; expected the output's name, which its files carry\n"
        "1:1: error: output.format: missing; expected \"png\", \"jpeg\", \"tiff\", \"webp\" or "
        "\"pdf\"\n");
  CHECK(ErrorsOf("name = \"a\"\nformat = \"gif\"\n") ==
        "2:10: error: output.format = \"gif\": expected \"png\", \"jpeg\", \"tiff\", \"webp\" or "
        "\"pdf\"\n");
  const auto errors = [](const std::string& lines) { return ErrorsOf(kStart + lines); };
  CHECK(errors("sise = \"A4\"\n") == "3:1: error: output.sise: unknown key; did you mean size?\n");
  CHECK(errors("size = \"A4\"\nppi = \"300\"\n") ==
        "4:7: error: output.ppi = \"300\": expected a number, not a string; write it without "
        "quotes\n");
  CHECK(errors("size = \"A4\"\nppi = 0.5\n") ==
        "4:7: error: output.ppi = 0.5: expected pixels per inch from 1 to 10000\n");
  CHECK(errors("size = \"A4\"\nfit = \"stretch\"\n") ==
        "4:7: error: output.fit = \"stretch\": expected \"cover\" or \"contain\"\n");
  CHECK(errors("size = \"A4\"\nfit = \"contain\"\nground = \"beige\"\n") ==
        "5:10: error: output.ground = \"beige\": no swatch has this name; there are \"kraft\"\n");
  CHECK(errors("size = \"A4\"\nbleed = -3\n") ==
        "4:9: error: output.bleed = -3: expected a width in mm from 0 to 100\n");
  CHECK(errors("size = \"A4\"\ncrop_marks = 1\n") ==
        "4:14: error: output.crop_marks = 1: expected true or false\n");
  for (const std::string depth : {"12", "8.5", "32"}) {
    CHECK(errors("depth = " + depth + "\n") ==
          "3:9: error: output.depth = " + depth + ": expected 8 or 16\n");
  }
  CHECK(errors("compression = \"zip\"\n") ==
        "3:15: error: output.compression = \"zip\": expected \"none\", \"lzw\" or \"deflate\"\n");
  CHECK(ErrorsOf("name = \"a\"\nformat = \"jpeg\"\nquality = 0\n") ==
        "3:11: error: output.quality = 0: expected a whole number from 1 to 100\n");
}

TEST_CASE("Output: keys that would do nothing are refused", "[scene][bad-input]") {
  const auto of = [](const std::string& format, const std::string& lines) {
    return ErrorsOf("name = \"a\"\nformat = \"" + format + "\"\n" + lines);
  };
  CHECK(of("jpeg", "tiles = true\ncompression = \"lzw\"\n") ==
        "3:9: error: output.tiles = true: expected it of a TIFF alone\n"
        "4:15: error: output.compression = \"lzw\": expected it of a TIFF alone\n");
  for (const std::string format : {"jpeg", "webp", "pdf"}) {
    CHECK(of(format, "depth = 16\n") ==
          "3:9: error: output.depth = 16: expected 8, or a PNG or TIFF, which hold 16 bits\n");
    CHECK(of(format, "depth = 8\nquality = 80\n") == "");
  }
  for (const std::string format : {"png", "tiff"}) {
    CHECK(of(format, "quality = 80\n") ==
          "3:11: error: output.quality = 80: expected it of JPEG, WebP or PDF: " + format +
              " loses nothing\n");
    CHECK(of(format, "depth = 16\n") == "");
  }
  CHECK(of("png", "size = \"A4\"\nground = \"#fff\"\n") ==
        "4:10: error: output.ground = \"#fff\": expected contain beside it: a picture that covers "
        "the sheet leaves no ground\n");
  const std::string own = "expected a size beside it; without one the picture is the photo's own\n";
  CHECK(of("png", "ppi = 300\nbleed = 3\n") == "4:9: error: output.bleed = 3: " + own);
  CHECK(of("png", "fit = \"contain\"\ncrop_marks = true\npixel_ratio = 2\n") ==
        "3:7: error: output.fit = \"contain\": " + own + "4:14: error: output.crop_marks = true: " +
            own + "5:15: error: output.pixel_ratio = 2: " + own);
  const std::string density =
      "expected a size in mm or inches beside it, or the ppi of its pixels\n";
  CHECK(of("png", "size = \"slide\"\nbleed = 3\ncrop_marks = true\n") ==
        "4:9: error: output.bleed = 3: " + density +
            "5:14: error: output.crop_marks = true: " + density);
  CHECK(of("png", "size = \"slide\"\nppi = 96\nbleed = 3\ncrop_marks = true\n") == "");
  CHECK(
      of("png", "size = \"A4\"\npixel_ratio = 2\n") ==
      "4:15: error: output.pixel_ratio = 2: expected a size in px beside it; in mm and inches, ppi "
      "says the pixels\n");
}

// By hand: 60000 px over 6096 mm are 250 ppi to the last digit; over 6102 mm, with bleed, 249.8.
TEST_CASE("Output: a sheet beyond the limit names the density that fits", "[scene][bad-input]") {
  CHECK(
      ErrorsOf(kStart + "size = \"UK 48-sheet\"\n") ==
      "3:8: error: output.size = \"UK 48-sheet\": expected sides of 1 to 60000 px; at 300 ppi they "
      "are 72000 and 36000 px; 250 ppi fits\n");
  CHECK(ErrorsOf(kStart + "size = \"UK 48-sheet\"\nppi = 250\n") == "");
  CHECK(
      ErrorsOf(kStart + "size = \"UK 48-sheet\"\nppi = 250\nbleed = 3\n") ==
      "3:8: error: output.size = \"UK 48-sheet\": expected sides of 1 to 60000 px; at 250 ppi they "
      "are 60059 and 30059 px; 249 ppi fits\n");
  CHECK(
      ErrorsOf(kStart + "size = \"40000x10\"\npixel_ratio = 2\n") ==
      "3:8: error: output.size = \"40000x10\": expected sides of 1 to 60000 px; they are 80000 and "
      "20 px\n");
}
