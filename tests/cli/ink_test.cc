// Films, underbase, stock and knock-out by the whole program, on an even photo: printed light is what the films' own
// model says (ink/printed_colour.h, which tests/ink holds against published values).
#include <nlohmann/json.hpp>

#include "cli/even_scene.h"
#include "colour/srgb.h"
#include "ink/printed_colour.h"
#include "scene/presets.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

constexpr Srgb8 kMark{227, 160, 44};

const Presets& AllPresets() {
  static const Result<Presets> presets = ReadPresets(SourcePath("."));
  REQUIRE(presets.ok());
  return *presets;
}

// On brown kraft board.
struct Print {
  explicit Print(const std::string& ink, const std::string& colour = "#e3a02c") {
    MakeEven(scene);
    scene.Replace("\"coated paper\"", "\"brown kraft board\"");
    scene.Replace("width = 300", "width = 300\n" + ink);
    FillMark(scene, colour);
  }
  std::array<double, 3> Middle() {
    CheckDone(scene.Render("--out out.png --report out.json"));
    return MiddleOf(scene.folder / "out.png");
  }
  SmallScene scene;
};

// printed / blank = Rp / Rs in every band. Limit  0.012 of the light: 8-bit codes, and the table of inks.
void CheckPrinted(const std::array<double, 3>& seen, const Ink& ink, const Srgb8& colour) {
  const Substrate& kraft = *AllPresets().FindSubstrate("brown kraft board");
  const SceneLinear printed = PrintedColour(ink, kraft, LinearFromSrgb(colour));
  const double expected[3] = {double{printed.r} / kraft.reflectance.r,
                              double{printed.g} / kraft.reflectance.g,
                              double{printed.b} / kraft.reflectance.b};
  const double blank = Linear(0xc8 / 255.0);
  for (size_t k = 0; k < 3; ++k) {
    INFO("band " << k);
    CHECK(seen[k] == Approx(std::min(1.0, blank * expected[k])).margin(0.012));
  }
}

}  // namespace

TEST_CASE("render: films print what their model says", "[cli][twin]") {
  const Presets& presets = AllPresets();
  for (const char* name : {"process inks", "screen ink", "black stamp"}) {
    INFO(name);
    CheckPrinted(Print("ink = \"" + std::string(name) + "\"").Middle(), *presets.FindInk(name),
                 kMark);
  }
  Ink lifted = *presets.FindInk("process inks");
  lifted.underbase = std::make_shared<const Ink>(*presets.FindInk("white ink"));
  CheckPrinted(Print("ink = \"process inks\"\nunderbase = \"white ink\"").Middle(), lifted, kMark);
  CheckPrinted(Print("ink = \"process inks\"\nwhite = \"ink\"").Middle(), lifted, kMark);
  Ink label = *presets.FindInk("process inks");
  label.stock = std::make_shared<const Substrate>(*presets.FindSubstrate("white film"));
  CheckPrinted(Print("ink = \"process inks\"\nstock = \"white film\"").Middle(), label, kMark);
}

TEST_CASE("render: white is paper or ink, and the report says which", "[cli][closed-form]") {
  Print paper("ink = \"screen ink, two passes\"\nwhite = \"paper\"", "#ffffff");
  const double blank = Linear(0xc8 / 255.0);
  for (const double band : paper.Middle()) CHECK(band == Approx(blank).margin(0.005));
  Print ink("ink = \"process inks\"", "#ffffff");
  for (const double band : ink.Middle()) CHECK(band == Approx(blank).margin(0.005));
  const auto report = ParseJson(ReadText(ink.scene.folder / "out.json"));
  CHECK(report["placements"][0]["white_is"] == "paper");
  CHECK(report["notes"].dump().find("mark: white in it, if any, is no ink: the material shows") !=
        std::string::npos);
}

// Two prints over each other: clear ink darkens what is there, knocked out it does not know of it.
TEST_CASE("render: overprint and knock-out", "[cli][closed-form]") {
  const auto twice = [](const std::string& overlap) {
    Print print("ink = \"transparent\"");
    const std::string scene = ReadText(print.scene.folder / "scene.toml");
    WriteText(
        print.scene.folder / "scene.toml",
        scene + "[[placement]]\nsurface = \"card\"\nartwork = \"mark\"\nwidth = 300\n" + overlap);
    return print.Middle();
  };
  const double blank = Linear(0xc8 / 255.0);
  const SceneLinear colour = LinearFromSrgb(kMark);
  const double filter[3] = {double{colour.r}, double{colour.g}, double{colour.b}};
  const auto over = twice(""), out = twice("overlap = \"knock_out\"\n");
  for (size_t k = 0; k < 3; ++k) {
    CHECK(over[k] == Approx(blank * filter[k] * filter[k]).margin(0.006));
    CHECK(out[k] == Approx(blank * filter[k]).margin(0.006));
  }
}

TEST_CASE("render: a measured spectrum may stand for the substrate", "[cli][closed-form]") {
  Print print("ink = \"process inks\"");
  print.scene.Replace("\"brown kraft board\"", "{ spectrum = \"kraft.txt\" }");
  std::string fields = "SAMPLE_ID", values = "1";
  for (int nm = 380; nm <= 730; nm += 10) {
    fields += " SPECTRAL_NM" + std::to_string(nm);
    values += " 50";
  }
  WriteText(print.scene.folder / "kraft.txt", "CGATS.17\nBEGIN_DATA_FORMAT\n" + fields +
                                                  "\nEND_DATA_FORMAT\nBEGIN_DATA\n" + values +
                                                  "\nEND_DATA\n");
  print.Middle();
  const auto report = ParseJson(ReadText(print.scene.folder / "out.json"));
  for (const auto& band : report["surfaces"][0]["substrate_reflectance"]) {
    CHECK(band.get<double>() == Approx(0.5).margin(1e-4));
  }
  WriteText(print.scene.folder / "kraft.txt", "no spectrum");
  const RunResult refused = print.scene.Render("--out never.png");
  CHECK(refused.status == 2);
  CHECK(
      refused.err ==
      "scene.toml:10:26: error: surface.substrate.spectrum = \"kraft.txt\": expected a CGATS text "
      "file "
      "with BEGIN_DATA_FORMAT and BEGIN_DATA\n");
}
