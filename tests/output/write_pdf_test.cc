// A PDF's page is as large as it should be, its boxes lie where they should, and its picture keeps every code.
//
// Source  qpdf 11.3.0; pdfinfo, pdfimages, pdftocairo (poppler 22.12.0); exiftool 12.57; ImageMagick 6.9.11-60, of Debian 12.
#include <nlohmann/json.hpp>

#include "output/picture_support.h"
#include "output/xmp.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

using Json = nlohmann::json;

// The page's picture, taken out of the file and inflated by qpdf; its object is number 8.
std::string CodesInPdf(const std::string& path) {
  return MustRun(fmt::format("qpdf --show-object=8 --filtered-stream-data {}", path));
}

void CheckSound(const std::string& path) {
  CHECK_THAT(MustRun("qpdf --check " + path),
             Catch::Contains("No syntax or stream encoding errors found"));
}

// "MediaBox:  0.00  0.00  612.00  792.00" of pdfinfo.
std::string BoxOf(const std::string& path, const std::string& name) {
  const std::string said = MustRun("pdfinfo -box " + path + " | grep '^" + name + ":'");
  std::istringstream words(said);
  std::string word, box;
  words >> word;
  while (words >> word) box += (box.empty() ? "" : " ") + word;
  return box;
}

}  // namespace

TEST_CASE("PDF: A4 with bleed and a margin: page, boxes and density by arithmetic",
          "[output][closed-form]") {
  // 210 x 297 mm, 3 mm bleed, 7 mm white around that, at 254 ppi: 10 px a mm, 25.4 / 72 mm a point.
  const TempFolder folder;
  const std::string path = folder / "a.pdf";
  PictureFacts facts;
  facts.size = {2300, 3170};
  facts.density = {254};
  facts.bleed = {70, 70, 2230, 3100};
  facts.trim = {100, 90, 2200, 3060};  // uneven above and below, so that the turned axis shows
  REQUIRE(Write(path, facts, Bytes(static_cast<size_t>(facts.size.area() * 3))).ok());
  CheckSound(path);
  const auto points = [](double mm) { return mm * 72 / 25.4; };
  const auto box = [&](double x0, double y0, double x1, double y1) {
    return fmt::format("{:.2f} {:.2f} {:.2f} {:.2f}", points(x0), points(y0), points(x1),
                       points(y1));
  };
  CHECK(BoxOf(path, "MediaBox") == box(0, 0, 230, 317));
  CHECK(BoxOf(path, "CropBox") == box(0, 0, 230, 317));
  CHECK(BoxOf(path, "BleedBox") == box(7, 7, 223, 310));
  CHECK(BoxOf(path, "TrimBox") == box(10, 11, 220, 308));
  CHECK_THAT(MustRun("pdfimages -list " + path),
             Catch::Matches("(.|\n)* 2300 +3170 +rgb +3 +8 +image +no +8 +0 +254 +254 (.|\n)*"));
}

TEST_CASE("PDF: every code of RGB and CMYK, the profile, the output intent",
          "[output][reference]") {
  const TempFolder folder;
  const std::string path = folder / "a.pdf";
  const Profile srgb = Profile::Srgb(), press = ReadProfile("coated_offset.icc");
  for (const Profile* profile : {static_cast<const Profile*>(nullptr), &srgb, &press}) {
    const int channels = profile == nullptr ? 3 : ChannelCount(profile->model());
    INFO(channels << " channels" << (profile == nullptr ? ", no profile" : ""));
    PictureFacts facts;
    facts.size = channels == 4 ? SizePx{1231, 900} : SizePx{401, 390};  // two bands; two pieces
    facts.profile = profile;
    Bytes codes = MakeNoise(facts.size, channels, 8);
    std::fill(codes.begin() + 9000, codes.begin() + 300'000, uint8_t{200});
    REQUIRE(Write(path, facts, codes).ok());
    CheckSound(path);
    CHECK(Difference(CodesInPdf(path), TextOf(codes)) == "same");
    const std::string catalog = MustRun("qpdf --show-object=1 " + path);
    CHECK((catalog.find("/OutputIntents [ << /DestOutputProfile 7 0 R") != std::string::npos) ==
          (channels == 4));
    const std::string picture = MustRun("qpdf --show-object=8 " + path);
    CHECK_THAT(picture, Catch::Contains(profile == nullptr ? "/ColorSpace /DeviceRGB"
                                                           : "/ColorSpace [ /ICCBased 7 0 R ]"));
    if (profile != nullptr) {
      CHECK(Difference(MustRun("qpdf --show-object=7 --filtered-stream-data " + path),
                       TextOf(profile->bytes())) == "same");
      CHECK_THAT(MustRun("qpdf --show-object=7 " + path),
                 Catch::Contains(fmt::format("/N {} ", channels)));
    }
  }
}

TEST_CASE("PDF: the page drawn at its own density is the picture", "[output][reference]") {
  const TempFolder folder;
  PictureFacts facts;
  facts.size = {211, 157};
  facts.density = {150};
  const Bytes codes = MakeCodes(facts.size, 8);
  REQUIRE(Write(folder / "a.pdf", facts, codes).ok());
  MustRun(
      fmt::format("pdftocairo -png -singlefile -r 150 {} {}", folder / "a.pdf", folder / "drawn"));
  CHECK(Difference(RawPixels(folder / "drawn.png", "rgb", 8), TextOf(codes)) == "same");
}

TEST_CASE("PDF: as JPEG where asked for: quality, whole chroma, inks not turned round",
          "[output][reference]") {
  const TempFolder folder;
  const Profile press = ReadProfile("coated_offset.icc");
  PictureFacts facts;
  facts.size = {211, 157};
  facts.jpeg_in_pdf = true;
  facts.quality = 80;
  const Bytes codes = MakeCodes(facts.size, 8);
  REQUIRE(Write(folder / "a.pdf", facts, codes).ok());
  CheckSound(folder / "a.pdf");
  MustRun(fmt::format("pdfimages -all {} {}", folder / "a.pdf", folder / "out"));
  CHECK(MustRun("identify -format '%[jpeg:sampling-factor] %Q' " + folder / "out-000.jpg") ==
        "1x1,1x1,1x1 80");
  CHECK(RootMeanSquare(RawPixels(folder / "out-000.jpg", "rgb", 8), TextOf(codes)) < 3);

  // Ramps of the four inks, one beside the other, with every code kept and as JPEG: the page looks the same.
  facts.size = {160, 120};
  facts.profile = &press;
  Bytes inks(static_cast<size_t>(facts.size.area() * 4));
  for (int64_t y = 0; y < facts.size.height; ++y) {
    for (int64_t x = 0; x < facts.size.width; ++x) {
      inks[static_cast<size_t>((y * facts.size.width + x) * 4 + x / 40)] =
          static_cast<uint8_t>(2 * y);
    }
  }
  std::string drawn[2];
  for (const bool jpeg : {false, true}) {
    facts.jpeg_in_pdf = jpeg;
    REQUIRE(Write(folder / "inks.pdf", facts, inks).ok());
    CheckSound(folder / "inks.pdf");
    MustRun(fmt::format("pdftocairo -png -singlefile -r 72 {} {}", folder / "inks.pdf",
                        folder / "drawn"));
    drawn[jpeg ? 1 : 0] = RawPixels(folder / "drawn.png", "rgb", 8);
  }
  CHECK(RootMeanSquare(drawn[0], drawn[1]) < 3);
  // Bare paper at the top, ink at the foot of each ramp.
  CHECK(RootMeanSquare(drawn[0].substr(0, 480), std::string(480, '\xFF')) < 6);
  CHECK(RootMeanSquare(drawn[0].substr(drawn[0].size() - 480), std::string(480, '\xFF')) > 60);
}

TEST_CASE("PDF: sides beyond 14400 units are told in larger units", "[output][closed-form]") {
  // A hoarding of 7620 x 2540 mm at 1 px an inch: 300 x 100 in, 21600 x 7200 points, so units of 2 points.
  const TempFolder folder;
  const std::string path = folder / "a.pdf";
  PictureFacts facts;
  facts.size = {300, 100};
  facts.density = {1};
  facts.trim = {10, 10, 290, 80};
  const Bytes codes = MakeCodes(facts.size, 8);
  REQUIRE(Write(path, facts, codes).ok());
  CheckSound(path);
  CHECK_THAT(MustRun("qpdf --show-object=3 " + path),
             Catch::Contains("/MediaBox [ 0.0000 0.0000 10800.0000 3600.0000 ]") &&
                 Catch::Contains("/UserUnit 2") &&
                 Catch::Contains("/TrimBox [ 360.0000 720.0000 10440.0000 3240.0000 ]"));
  // 14400 units are not beyond.
  facts.size = {200, 100};
  facts.trim = {};
  REQUIRE(Write(path, facts, codes).ok());
  CHECK_THAT(MustRun("qpdf --show-object=3 " + path),
             Catch::Contains("/MediaBox [ 0.0000 0.0000 14400.0000 7200.0000 ]") &&
                 !Catch::Contains("/UserUnit"));
}

TEST_CASE("PDF: title and packet are text whatever they say; no dates", "[output][reference]") {
  const TempFolder folder;
  const std::string path = folder / "a.pdf";
  PictureFacts facts;
  facts.size = {40, 30};
  facts.title = ")>>\nendobj \"><script>&\x01 Möwe \xF0\x9F\x8C\xBE";
  facts.xmp = MakeXmp({facts.title, "", "", "", "", ""});
  const Bytes codes = MakeCodes(facts.size, 8);
  REQUIRE(Write(path, facts, codes).ok());
  CheckSound(path);
  const std::string said = MustRun("pdfinfo " + path);
  CHECK_THAT(said, Catch::Contains(")>> endobj \"><script>& Möwe \xF0\x9F\x8C\xBE\n") &&
                       Catch::Contains("Metadata Stream: yes") && !Catch::Contains("Date"));
  CHECK(MustRun("pdfinfo -meta " + path) == facts.xmp + "\n");
  // Another picture, another identifier.
  const std::string id = MustRun("qpdf --show-object=trailer " + path);
  Bytes other = codes;
  other.back() ^= 1;
  REQUIRE(Write(path, facts, other).ok());
  CHECK(MustRun("qpdf --show-object=trailer " + path) != id);
}
