// Sheets by the whole program: framing, ground, bleed and crop marks, as other programs read them.
//
// Source  ImageMagick 6.9.11-60, tiffinfo 4.5.0, pdfinfo 22.12 (poppler), all of Debian 12.
#include <nlohmann/json.hpp>

#include "even_scene.h"
#include "small_scene.h"

using namespace wheatpaste::test;
using Json = nlohmann::json;

namespace {

constexpr char kMarked[] =
    "--size 60x60mm --ppi 127 --bleed 3 --crop-marks --profile 'coated offset' ";

// The pixel at x, y of a picture `width` px wide.
std::vector<int> At(const std::vector<uint16_t>& codes, int64_t width, int64_t x, int64_t y) {
  const auto at = codes.begin() + (y * width + x) * 3;
  return {*at, *(at + 1), *(at + 2)};
}

}  // namespace

TEST_CASE("render --fit contain: the whole photo, on its ground", "[cli][closed-form]") {
  const SmallScene scene;
  CheckDone(scene.Render("--out on.png --size 200x200 --fit contain --ground '#336699'"));
  CheckDone(scene.Render("--out alone.png --size 200x150"));
  const auto on = CodesOf(scene.folder / "on.png"), alone = CodesOf(scene.folder / "alone.png");
  REQUIRE(on.size() == size_t{200} * 200 * 3);
  REQUIRE(alone.size() == size_t{200} * 150 * 3);
  // 200 px wide the photo is 150 px high: 25 px of ground above and below.
  const std::vector<int> ground{0x33 * 257, 0x66 * 257, 0x99 * 257};
  int wrong = 0;
  for (int64_t y = 0; y < 200; ++y) {
    for (int64_t x = 0; x < 200; ++x) {
      const bool photo = y >= 25 && y < 175;
      wrong += At(on, 200, x, y) != (photo ? At(alone, 200, x, y - 25) : ground);
    }
  }
  CHECK(wrong == 0);
}

TEST_CASE("render: the scene's frame decides what a picture of another shape shows",
          "[cli][reference]") {
  SmallScene scene;
  WriteText(scene.folder / "scene.toml",
            ReadText(scene.folder / "scene.toml") + "[frame]\nrectangle = [245, 60, 315, 160]\n");
  // As large as in the photo, one px to one: 100 px square around the middle of the rectangle, but the photo ends at
  // 320: so from 220 to 320. Beside the card (x below 242) the pixels are the photo's.
  CheckDone(scene.Render("--out part.png --size 100x100"));
  MustRun("/usr/bin/convert '" + scene.folder / "photo.png" + "' -crop 100x100+220+60 +repage '" +
          scene.folder / "cut.png" + "'");
  const auto part = CodesOf(scene.folder / "part.png"), cut = CodesOf(scene.folder / "cut.png");
  REQUIRE(part.size() == cut.size());
  int wrong = 0;
  for (int64_t y = 0; y < 100; ++y) {
    for (int64_t x = kCard.x1 - 220; x < 100; ++x)
      wrong += At(part, 100, x, y) != At(cut, 100, x, y);
  }
  CHECK(wrong == 0);
  // 10 : 1, the whole width, 32 px of the 100 that the frame is high.
  const auto band = scene.Render("--out band.png --size 200x20");
  CHECK(band.status == 0);
  CHECK(band.err.find("note: the scene's frame is cut: 32 % of it is on the sheet, as the photo "
                      "ends before a picture of this shape would; contain shows all of it\n") !=
        std::string::npos);
  scene.Replace("[245, 60, 315, 160]", "[400, 60, 500, 160]");
  CheckRefused(scene, "render scene.toml --artwork mark=mark.svg --out no.png",
               "scene.toml:16:13: error: frame.rectangle = [400, 60, 500, 160]: expected what the "
               "photo shows, at least 1 x 1 px of it; the photo is 320 x 240 px\n");
}

// By hand: 60 mm at 127 ppi are 300 px, 3 mm 15; marks 25 px long, 10 px off, 5 px around them.
TEST_CASE("render --bleed --crop-marks: TIFF and PDF have the sheet where it is said to be",
          "[cli][reference]") {
  const SmallScene scene;
  CheckDone(scene.Render(kMarked + std::string("--out sheet.tif --report sheet.json")));
  CheckDone(scene.Render(kMarked + std::string("--out sheet.pdf")));
  const std::string tif = scene.folder / "sheet.tif", pdf = scene.folder / "sheet.pdf";
  const std::string tags = MustRun("tiffinfo '" + tif + "'");
  CHECK(tags.find("Image Width: 410 Image Length: 410") != std::string::npos);
  CHECK(tags.find("Resolution: 127, 127 pixels/inch") != std::string::npos);
  CHECK(tags.find("Photometric Interpretation: separated") != std::string::npos);
  const Json sheet = ParseJson(ReadText(scene.folder / "sheet.json"))["output"]["sheet"];
  CHECK(sheet["trim_px"] == Json({55, 55, 355, 355}));
  CHECK(sheet["bleed_px"] == Json({40, 40, 370, 370}));
  MustRun("/usr/bin/convert '" + tif + "' -depth 8 cmyk:'" + tif + ".raw'");
  const std::string inks = ReadText(tif + ".raw");
  REQUIRE(inks.size() == size_t{410} * 410 * 4);
  const auto at = [&](size_t x, size_t y) { return inks.substr((y * 410 + x) * 4, 4); };
  CHECK(at(0, 0) == std::string(4, '\0'));
  CHECK(at(20, 200) == std::string(4, '\0'));   // white margin
  CHECK(at(54, 20) == std::string(4, '\xff'));  // beside the cut's left, above
  CHECK(at(20, 355) == std::string(4, '\xff'));
  CHECK(at(54, 35) == std::string(4, '\0'));  // between mark and bleed
  CHECK(at(40, 40) != std::string(4, '\0'));  // the photo, in the bleed's corner
  // 72 / 127 pt a px; PDF counts from below.
  const std::string boxes = MustRun("pdfinfo -box '" + pdf + "'");
  CHECK(boxes.find("MediaBox:            0.00     0.00   232.44   232.44") != std::string::npos);
  CHECK(boxes.find("BleedBox:           22.68    22.68   209.76   209.76") != std::string::npos);
  CHECK(boxes.find("TrimBox:            31.18    31.18   201.26   201.26") != std::string::npos);
}

TEST_CASE("render --depth 16 of an 8-bit photo: the same values, and a note", "[cli][invariant]") {
  const SmallScene scene;
  CheckDone(scene.Render("--out narrow.png"));
  const auto wide = scene.Render("--out wide.png --depth 16");
  CHECK(wide.status == 0);
  CHECK(wide.err.find("note: the photo has 8 bits a channel: the 16 bits of the file hold no more "
                      "shades\n") != std::string::npos);
  CHECK(MustRun("identify -format '%z' '" + scene.folder / "wide.png" + "'") == "16");
  const bool same = CodesOf(scene.folder / "wide.png") == CodesOf(scene.folder / "narrow.png");
  CHECK(same);
}

TEST_CASE("render --sharp-artwork does what the scene's sharpness does", "[cli][invariant]") {
  SmallScene scene;
  // Out of focus: a light card with dark bars, blurred by two pixels.
  MustRun(
      "/usr/bin/convert -size 320x240 xc:gray30 -fill gray85 -draw 'polygon 80,60 240,70 235,190 "
      "75,180' -fill black -draw 'rectangle 90,70 100,170 rectangle 220,80 226,180' -blur 0x2 "
      "PNG24:'" +
      scene.folder / "photo.png" + "'");
  CheckDone(scene.Render("--out soft.png"));
  CheckDone(scene.Render("--out option.png --sharp-artwork"));
  scene.Replace("substrate =", "sharpness = \"artwork\"\nsubstrate =");
  CheckDone(scene.Render("--out key.png"));
  const auto option = CodesOf(scene.folder / "option.png");
  const bool as_key = option == CodesOf(scene.folder / "key.png");
  const bool as_soft = option == CodesOf(scene.folder / "soft.png");
  CHECK(as_key);
  CHECK_FALSE(as_soft);
}

TEST_CASE("render: output options that do nothing, or are none", "[cli][bad-input]") {
  const SmallScene scene;
  const std::string render = "render scene.toml --artwork mark=mark.svg ";
  CheckRefused(
      scene, render + "--out a.jpg --tiles --quality x --bleed 3 --depth 16",
      "--bleed 3: error: expected a size beside it; without one the picture is the photo's "
      "own\n"
      "--depth 16: error: expected 8, or a PNG or TIFF, which hold 16 bits\n"
      "--tiles: error: expected it of a TIFF alone\n"
      "--quality x: error: expected a whole number from 1 to 100\n");
  CheckRefused(scene, render + "--out a.tif --size A4 --fit stretch --compression zip",
               "--fit stretch: error: expected \"cover\" or \"contain\"\n"
               "--compression zip: error: expected \"none\", \"lzw\" or \"deflate\"\n");
  CheckRefused(scene, render + "--out a.tif --size 'UK 96-sheet' --ppi 150",
               "--size UK 96-sheet: error: expected sides of 1 to 60000 px; at 150 ppi they are "
               "72000 and 18000 px; 125 ppi fits\n");
}
