// The program from scene file to picture, looked at with other programs' eyes.
#include <array>
#include <cmath>
#include <memory>

#include <lcms2.h>
#include <nlohmann/json.hpp>

#include "cli/small_scene.h"

using namespace wheatpaste::test;

namespace {

using Codes = std::vector<uint16_t>;

// Pixels outside `box` that differ, and those inside.
std::array<int, 2> Differing(const Codes& a, const Codes& b, const Box& box) {
  REQUIRE(a.size() == size_t{kWidth} * kHeight * 3);
  REQUIRE(b.size() == a.size());
  std::array<int, 2> count{};
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      const size_t at = (static_cast<size_t>(y) * kWidth + static_cast<size_t>(x)) * 3;
      const bool same = a[at] == b[at] && a[at + 1] == b[at + 1] && a[at + 2] == b[at + 2];
      if (!same) ++count[box.Holds(x, y) ? 1 : 0];
    }
  }
  return count;
}

// Source  chromaticities of P3 with the D65 white: SMPTE EG 432-1:2010, Annex A (from memory); a
// gamma
//         of 2.2 is enough here, any RGB profile that is not sRGB serves.
void WriteWideProfile(const std::string& path) {
  const cmsCIExyY white{0.3127, 0.3290, 1};
  const cmsCIExyYTRIPLE primaries{{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}};
  cmsToneCurve* curve = cmsBuildGamma(nullptr, 2.2);
  cmsToneCurve* const curves[] = {curve, curve, curve};
  cmsHPROFILE profile = cmsCreateRGBProfile(&white, &primaries, curves);
  const bool saved = cmsSaveProfileToFile(profile, path.c_str());
  cmsCloseProfile(profile);
  cmsFreeToneCurve(curve);
  REQUIRE(saved);
}

void CheckDone(const RunResult& run) {
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(run.err.find("error") == std::string::npos);
}

std::string Identify(const std::string& path) {
  return Run("identify -format '%m %w %h' '" + path + "'").out;
}

}  // namespace

TEST_CASE("render: pixels that no surface touches are those of the photo", "[cli][invariant]") {
  for (const int depth : {8, 16}) {
    const SmallScene scene(depth);
    CheckDone(scene.Render("--out out.png"));
    INFO(depth << " bits");
    CHECK(Run("identify -format '%w %h %z' '" + scene.folder / "out.png" + "'").out ==
          "320 240 " + std::to_string(depth));
    const auto differ =
        Differing(CodesOf(scene.folder / "photo.png"), CodesOf(scene.folder / "out.png"), kCard);
    CHECK(differ[0] == 0);
    // The mark covers half of a quad of some 19 000 px; wholly printed pixels cannot stay as they
    // were.
    CHECK(differ[1] > 8000);
  }
}

TEST_CASE("render: a tagged photo keeps its profile and its pixels", "[cli][invariant]") {
  for (const int depth : {8, 16}) {
    const SmallScene scene(depth);
    const std::string icc = scene.folder / "wide.icc";
    WriteWideProfile(icc);
    MustRun("/usr/bin/convert '" + scene.folder / "photo.png" + "' -profile '" + icc + "' '" +
            scene.folder / "tagged.png" + "' && mv '" + scene.folder / "tagged.png" + "' '" +
            scene.folder / "photo.png" + "'");
    CheckDone(scene.Render("--out out.png"));
    INFO(depth << " bits");
    const auto differ =
        Differing(CodesOf(scene.folder / "photo.png"), CodesOf(scene.folder / "out.png"), kCard);
    CHECK(differ[0] == 0);
    CHECK(differ[1] > 8000);
    MustRun("cd '" + scene.folder.path() +
            "' && exiftool -b -icc_profile out.png > kept.icc && cmp kept.icc wide.icc");
  }
}

TEST_CASE("render: the same bytes for any number of threads", "[cli][invariant]") {
  const SmallScene scene(16);
  CheckDone(scene.Render("--threads 1 --out 1.png --size 1111x777"));
  for (const char* threads : {"2", "5"}) {
    CheckDone(scene.Render(std::string("--size 1111x777 --threads ") + threads + " --out n.png"));
    CHECK(ReadText(scene.folder / "n.png") == ReadText(scene.folder / "1.png"));
  }
}

TEST_CASE("render: every format, named by the ending", "[cli]") {
  const SmallScene scene;
  const std::pair<const char*, const char*> formats[] = {{"a.png", "PNG"},   {"a.jpg", "JPEG"},
                                                         {"a.JPEG", "JPEG"}, {"a.tif", "TIFF"},
                                                         {"a.tiff", "TIFF"}, {"a.webp", "WEBP"}};
  for (const auto& [name, format] : formats) {
    const RunResult run = scene.Render(std::string("--out ") + name);
    CheckDone(run);
    CHECK(run.out == std::string(name) + ": 320 x 240 px\n");
    CHECK(Identify(scene.folder / name) == std::string(format) + " 320 240");
  }
}

TEST_CASE("render: without --out the picture is named after the scene", "[cli]") {
  const SmallScene scene;
  CheckDone(scene.Render(""));
  CHECK(scene.folder.List() ==
        std::vector<std::string>{"mark.svg", "photo.png", "scene.png", "scene.toml"});
}

TEST_CASE("render: another aspect keeps the proportions of the thing shown", "[cli][invariant]") {
  // The mark is the only strong red: linear r / g of its #c02020 is 37, of the noise at most 4 or
  // so. In a frame of another shape the ratio of its box stays, to the 2 px that rounding its edges
  // may take; stretched to 480 x 480 it would change by a third.
  const SmallScene scene;
  const auto box_ratio = [&scene](const std::string& size) {
    CheckDone(scene.Render("--out out.png --size " + size));
    const std::string box = Run("/usr/bin/convert '" + scene.folder / "out.png" +
                                "' -colorspace RGB -fx 'r>12*g' -threshold 50% -format %@ info:")
                                .out;
    double width = 0, height = 0;
    REQUIRE(std::sscanf(box.c_str(), "%lfx%lf", &width, &height) == 2);
    REQUIRE(height > 50);
    return width / height;
  };
  const double own = box_ratio("320x240");
  CHECK(box_ratio("480x480") == Approx(own).epsilon(0.04));
  CHECK(box_ratio("640x240") == Approx(own).epsilon(0.04));
}

TEST_CASE("render: a photo is turned as its EXIF says", "[cli]") {
  // Source  EXIF 2.32 (CIPA DC-008-2019), tag 0x0112: 6 means row 0 is the visual right hand side.
  SmallScene scene(8, "photo.jpg");
  scene.Replace("[[80, 60], [240, 70], [235, 190], [75, 180]]",
                "[[60, 80], [170, 80], [170, 240], [60, 240]]");
  scene.Replace("[400, 300]", "[300, 400]");
  scene.Replace("width = 300", "width = 200");
  MustRun("exiftool -q -overwrite_original -Orientation#=6 '" + scene.folder / "photo.jpg" + "'");
  CheckDone(scene.Render("--out out.png --report out.json"));
  CHECK(Identify(scene.folder / "out.png") == "PNG 240 320");
  const auto report = ParseJson(ReadText(scene.folder / "out.json"));
  CHECK(report["photo"]["exif_orientation"] == 6);
  // Turned by hand with ImageMagick; two JPEG decoders may differ by one code (ITU-T T.83 leaves
  // the inverse transform that freedom), and outside the surface there is nothing else to differ.
  MustRun("/usr/bin/convert '" + scene.folder / "photo.jpg" + "' -auto-orient '" +
          scene.folder / "turned.png" + "'");
  const Codes turned = CodesOf(scene.folder / "turned.png");
  const Codes out = CodesOf(scene.folder / "out.png");
  REQUIRE(turned.size() == out.size());
  int far = 0;
  for (size_t i = 0; i < size_t{240} * 70 * 3; ++i) far += std::abs(turned[i] - out[i]) > 257;
  CHECK(far == 0);
}

TEST_CASE("render: the report holds the keys of the contract", "[cli]") {
  // Closed form: a bitmap of 600 px printed 300 mm wide has 600 / 300 * 25.4 = 50.8 ppi.
  const SmallScene scene;
  MustRun("/usr/bin/convert -size 600x400 xc:red '" + scene.folder / "mark.png" + "'");
  CheckDone(scene.Program("render scene.toml --artwork mark=mark.png --out a.png --report r.json"));
  const auto report = ParseJson(ReadText(scene.folder / "r.json"));
  REQUIRE(report["surfaces"].size() == 1);
  CHECK(report["surfaces"][0]["name"] == "card");
  CHECK(report["surfaces"][0]["camera"]["focal_px"] == 400.0);
  CHECK(report["surfaces"][0]["residual_px"].is_number());
  CHECK(report["output"]["blur_px"].contains("card"));
  REQUIRE(report["placements"].size() == 1);
  CHECK(report["placements"][0]["ppi"].get<double>() == Approx(50.8).epsilon(1e-9));
  CHECK(report["photo"]["profile_assumed"] == true);
  CHECK(report["output"]["size_px"] == nlohmann::json::array({320, 240}));

  const RunResult check = scene.Program("check scene.toml --artwork mark=mark.png --json");
  CHECK(check.status == 0);
  const auto checked = ParseJson(check.out);
  CHECK(checked["surfaces"] == report["surfaces"]);
  CHECK(checked["placements"] == report["placements"]);
}
