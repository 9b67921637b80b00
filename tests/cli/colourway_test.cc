// Colourways and views, the whole program: against artwork coloured by hand, a published matrix and a closed
// form.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <nlohmann/json.hpp>

#include "cli/small_scene.h"

using namespace wheatpaste::test;

namespace {

constexpr char kColourways[] = R"(
[swatch]
brick = "#c02020"
moss = "#206040"
[[colourway]]
name = "green"
swatches = { brick = "moss" }
[[colourway]]
name = "lacking"
recolour = { "#123456" = "#fff", "#c02020" = "#000" }
)";

class ColourwayScene : public SmallScene {
 public:
  ColourwayScene() {
    const std::string file = folder / "scene.toml";
    WriteText(file, ReadText(file) + kColourways);
  }
};

nlohmann::json JsonOf(const std::string& path) { return ParseJson(ReadText(path)); }

double LinearOf(double code) {  // IEC 61966-2-1
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

}  // namespace

TEST_CASE("render --colourway: the picture of artwork coloured by hand, bit for bit",
          "[cli][invariant]") {
  const ColourwayScene scene;
  REQUIRE(scene.Render("--colourway green --out green.png --report green.json").status == 0);
  std::string mark = ReadText(scene.folder / "mark.svg");
  mark.replace(mark.find("#c02020"), 7, "#206040");
  WriteText(scene.folder / "mark.svg", mark);
  REQUIRE(scene.Render("--out hand.png").status == 0);
  CHECK(CodesOf(scene.folder / "green.png") == CodesOf(scene.folder / "hand.png"));
  const nlohmann::json expected = {{"name", "green"}, {"recolour", {{"#c02020", "#206040"}}}};
  CHECK(JsonOf(scene.folder / "green.json")["colourway"] == expected);
}

TEST_CASE("check --colourway: the table is in the report, none without it", "[cli][invariant]") {
  const ColourwayScene scene;
  const auto with = scene.Program(
      "check scene.toml --artwork mark=mark.svg --colourway green --json > with.json");
  REQUIRE(with.status == 0);
  CHECK(JsonOf(scene.folder / "with.json")["colourway"]["name"] == "green");
  REQUIRE(scene.Program("check scene.toml --json > without.json").status == 0);
  CHECK(JsonOf(scene.folder / "without.json")["colourway"].is_null());
}

TEST_CASE("render --colourway: a colour that no artwork has is an error at its line",
          "[cli][bad-input]") {
  const ColourwayScene scene;
  CheckRefused(
      scene, "render scene.toml --artwork mark=mark.svg --colourway lacking",
      "scene.toml:24:14: error: colourway.recolour.#123456: no artwork of the scene has the "
      "colour #123456; their colours: #c02020\n");
  MustRun("/usr/bin/convert -size 30x20 xc:'#c02020' '" + scene.folder / "mark.png" + "'");
  CheckRefused(scene, "render scene.toml --artwork mark=mark.png --colourway green",
               "scene.toml:21:14: error: colourway.swatches.brick: no artwork of the scene has the "
               "colour #c02020; only vector artwork (SVG or PDF) can be shown in other colours\n");
}

TEST_CASE("render --colourway: a bitmap beside vector artwork stays, and a note says so",
          "[cli][invariant]") {
  ColourwayScene scene;
  MustRun("/usr/bin/convert -size 30x20 xc:'#c02020' '" + scene.folder / "photo2.png" + "'");
  scene.Replace(
      "[swatch]",
      "[[placement]]\nsurface = \"card\"\nartwork = \"photo2.png\"\nwidth = 20\n[swatch]");
  const auto run = scene.Render("--colourway green --out green.png");
  CHECK(run.status == 0);
  CHECK(run.err.find("note: photo2.png: a bitmap; the colourway leaves it as it is\n") !=
        std::string::npos);
}

// Source  Machado, Oliveira, Fernandes 2009, deutan, severity 1 and 0.6, from tests/published.
// Limit   1 of 255: each is rounded once.
TEST_CASE("render --vision: the published matrix in linear light", "[cli][published]") {
  const SmallScene scene;
  const auto rows = ReadCsv(SourcePath("tests/published/colour_vision_machado_2009.csv"));
  for (const char* severity : {"1.0", "0.6"}) {
    REQUIRE(
        scene.Render(std::string("--out a.png --vision deutan --severity ") + severity).status ==
        0);
    const auto shown = CodesOf(scene.folder / "a.png");
    const auto seen = CodesOf(scene.folder / "a-deutan.png");
    const auto row = std::find_if(rows.begin(), rows.end(), [&](const auto& one) {
      return one[0] == "Deuteranomaly" && one[1] == severity;
    });
    REQUIRE(row != rows.end());
    double worst = 0;
    for (size_t at = 0; at < shown.size(); at += 3) {
      for (size_t band = 0; band < 3; ++band) {
        double light = 0;
        for (size_t j = 0; j < 3; ++j) {
          light += std::stod((*row)[2 + 3 * band + j]) * LinearOf(shown[at + j] / 65535.0);
        }
        worst = std::max(
            worst, std::abs(std::clamp(light, 0.0, 1.0) - LinearOf(seen[at + band] / 65535.0)) /
                       // One code, in light, at the code seen.
                       (LinearOf(seen[at + band] / 65535.0 + 1 / 255.0) -
                        LinearOf(seen[at + band] / 65535.0)));
      }
    }
    CHECK(worst < 1);
  }
}

TEST_CASE("render --vision: all three in one run; severity 0 changes no bit", "[cli][invariant]") {
  const SmallScene scene(16);
  REQUIRE(scene
              .Render("--out a.png --vision protan --vision deutan --vision tritan --severity 0 "
                      "--report a.json")
              .status == 0);
  const auto shown = CodesOf(scene.folder / "a.png");
  for (const char* name : {"a-protan.png", "a-deutan.png", "a-tritan.png"}) {
    CHECK(CodesOf(scene.folder / name) == shown);
  }
  const auto views = JsonOf(scene.folder / "a.json")["output"]["views"];
  REQUIRE(views.size() == 3);
  CHECK(views[1] ==
        nlohmann::json({{"file", "a-deutan.png"}, {"vision", "deutan"}, {"severity", 0.0}}));
}

// A card that faces the camera, 2.5 mm a photo px. Derived here: px per mm = 1 / (d tan(1/60 degree)).
// Source  87.3 px an inch at 1 m, 8.7 at 10 m: 3438 / distance in inches, common practice.
TEST_CASE("render --from-metres: a px of the picture is a minute of arc", "[cli][closed-form]") {
  SmallScene scene;
  scene.Replace("[[80, 60], [240, 70], [235, 190], [75, 180]]",
                "[[80, 60], [240, 60], [240, 180], [80, 180]]");
  const double minute = std::tan(std::numbers::pi / (180 * 60));
  for (const double metres : {1.0, 3.0, 10.0}) {
    const std::string text = std::to_string(static_cast<int>(metres));
    const auto run = scene.Render("--out a.png --report a.json --from-metres " + text);
    REQUIRE(run.status == 0);
    const auto json = JsonOf(scene.folder / "a.json");
    const double px_per_mm = 1 / (1000 * metres * minute);
    CHECK(json["output"]["size_px"][0] == std::lround(320 * 2.5 * px_per_mm));
    CHECK(json["output"]["size_px"][1] == std::lround(240 * 2.5 * px_per_mm));
    const auto& from = json["output"]["from"];
    CHECK(from["surface"] == "card");
    CHECK(from["metres"] == metres);
    CHECK(from["photo_ppi"].get<double>() == Approx(25.4 / 2.5).epsilon(1e-6));
    CHECK(from["surface_ppi"].get<double>() == Approx(87.3 / metres).epsilon(1e-3));
    CHECK((run.err.find("is enlarged and looks soft") != std::string::npos) == (metres < 8.5));
  }
}

TEST_CASE("render: views that cannot be made", "[cli][bad-input]") {
  SmallScene scene;
  const std::string render = "render scene.toml --artwork mark=mark.svg ";
  CheckRefused(scene, render + "--vision red --severity 2 --vision tritan --vision tritan",
               "--severity 2: error: expected a number from 0 to 1\n"
               "--vision red: error: expected protan, deutan or tritan\n"
               "--vision tritan: error: expected each once\n");
  CheckRefused(scene, render + "--vision duetan",
               "--vision duetan: error: expected protan, deutan or tritan; did you mean deutan?\n");
  CheckRefused(scene, render + "--severity 1",
               "wheatpaste: error: --severity requires --vision; see wheatpaste --help\n");
  CheckRefused(scene, render + "--from-metres far",
               "--from-metres far: error: expected a distance in metres from 0.1 to 10000\n");
  CheckRefused(scene, render + "--from-metres 5 --size 100x100",
               "wheatpaste: error: --size excludes --from-metres; see wheatpaste --help\n");
  CheckRefused(
      scene, render + "--from-metres 10000",
      "--from-metres 10000: error: expected a distance at which the picture has sides of 1 "
      "to 60000 px; at 0.00873 px an inch on card they are 0 and 0 px\n");
  CheckRefused(scene, render + "--colourway night",
               "--colourway night: error: no colourway has this name; there are none\n");
  // A view's own name may be that of an input.
  MustRun("cp '" + scene.folder / "photo.png" + "' '" + scene.folder / "a-protan.png" + "'");
  scene.Replace("file = \"photo.png\"", "file = \"a-protan.png\"");
  const auto run = scene.Render("--out a.png --vision protan");
  CHECK(run.status == 2);
  CHECK(run.err.find("a-protan.png") != std::string::npos);
  CHECK(scene.folder.List() ==
        std::vector<std::string>{"a-protan.png", "mark.svg", "photo.png", "scene.toml"});
  scene.Replace("size = [400, 300]\n", "");
  scene.Replace("width = 300\n", "");
  CheckRefused(scene, render + "--from-metres 5",
               "--from-metres 5: error: expected something placed, in sight, on a surface whose "
               "size in mm is known; write the size of a surface\n");
}
