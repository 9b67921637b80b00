// Every command on a scene whose photograph the program takes itself.
#include <filesystem>

#include <nlohmann/json.hpp>

#include "cli/small_scene.h"
#include "cli/stage_scene.h"

using namespace wheatpaste::test;

namespace {

using Json = nlohmann::json;

int KeptPhotographs(const StageScene& scene) {
  int count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(scene.folder / "kept/wheatpaste")) {
    CHECK(entry.path().extension() == ".tif");  // no sums where nothing was stopped
    ++count;
  }
  return count;
}

bool Holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

void WriteRunSheet(const StageScene& scene) {
  WriteText(scene.folder / "run.toml", R"(scenes = ["scene.toml"]
[[artwork]]
name = "plain"
slots = { mark = "mark.svg" }
[[colourway]]
name = "night"
recolour = { "#c02020" = "#203040" }
[[output]]
name = "own"
format = "png"
[[output]]
name = "small"
size = "24x18"
format = "png"
)");
}

}  // namespace

TEST_CASE("stage scene: a batch takes the photograph once, for all colourways and sizes",
          "[cli][invariant]") {
  const StageScene scene;
  WriteRunSheet(scene);
  const RunResult first = scene.Done("batch run.toml");
  CHECK(Holds(first.err, "stage: 4 of 4 samples a pixel"));
  CHECK(Holds(first.out, "run-out: 4 made, 0 unchanged"));
  CHECK(KeptPhotographs(scene) == 1);
  // The same bits as `render`, which finds the photograph.
  const RunResult render = scene.Done("render scene.toml --artwork mark=mark.svg --out one.png");
  CHECK_FALSE(Holds(render.err, "stage:"));
  CHECK(CodesOf(scene.folder / "one.png") == CodesOf(scene.folder / "run-out/scene/plain-own.png"));
  CHECK(CodesOf(scene.folder / "one.png") !=
        CodesOf(scene.folder / "run-out/scene/plain-night-own.png"));
  // An unchanged stage makes nothing anew, another light everything.
  CHECK(Holds(scene.Done("batch run.toml").out, "0 made, 4 unchanged"));
  scene.Replace("strength = 0.5", "strength = 0.4");
  const RunResult again = scene.Done("batch run.toml");
  CHECK(Holds(again.out, "4 made, 0 unchanged"));
  CHECK(KeptPhotographs(scene) == 2);
}

TEST_CASE("stage scene: slides, contact sheet and review page with its blank photograph",
          "[cli][invariant]") {
  const StageScene scene;
  WriteRunSheet(scene);
  scene.Done("batch run.toml --quiet");
  scene.Done("slides run-out");
  scene.Done("sheet run-out");
  const RunResult review = scene.Done("review run-out");
  CHECK(review.err.empty());
  CHECK(KeptPhotographs(scene) == 1);
  const std::string page = ReadText(scene.folder / "run-out/review.html");
  CHECK(Holds(page, "data:image/"));
}

TEST_CASE("stage scene: the report names the stage, and no photo", "[cli][invariant]") {
  const StageScene scene;
  scene.Done(
      "render scene.toml --artwork mark=mark.svg --out one.png --report one.json --passes passes");
  const Json report = ParseJson(ReadText(scene.folder / "one.json"));
  CHECK(report["photo"]["file"].is_null());
  CHECK(report["photo"]["size_px"] == Json::array({48, 36}));
  CHECK(report["stage"]["samples"] == 4);
  CHECK(report["stage"]["digest"].get<std::string>().size() == 64);
  CHECK(std::filesystem::exists(scene.folder / "passes/irradiance.tif"));
  const Json checked = ParseJson(scene.Done("check scene.toml --json").out);
  CHECK(checked["photo"]["file"].is_null());
  CHECK(checked["stage"] == report["stage"]);
  const RunResult large =
      scene.Done("render scene.toml --artwork mark=mark.svg --out two.png --size 96x72");
  CHECK(Holds(large.err,
              "warning: the stage's photograph is enlarged 2.00 times and looks soft; a larger "
              "stage.size shows it sharp\n"));
}

// The sheet's front is of a part that has a substrate of its own: opaque ink hides nothing of it where the artwork is clear, and
// the report says what is printed on.
TEST_CASE("stage scene: a face is printed on the substrate of its own part", "[cli][invariant]") {
  const StageScene scene;
  scene.Replace("[[placement]]",
                "[[stage.object.part]]\nname = \"body\"\nsubstrate = { reflectance = [0.2, 0.3, "
                "0.4], gloss = 0 }\n[[placement]]");
  const Json report = ParseJson(scene.Done("check scene.toml --json").out);
  CHECK(report["surfaces"][0]["substrate_reflectance"][0].get<double>() == Approx(0.2));
  CHECK(report["surfaces"][0]["substrate_reflectance"][2].get<double>() == Approx(0.4));
  scene.Replace("substrate = { reflectance = [0.2, 0.3, 0.4], gloss = 0 }", "metal = \"gold\"");
  const RunResult refused = scene.Program("check scene.toml");
  CHECK(refused.status == 2);
  CHECK(refused.err ==
        "scene.toml:19:11: error: placement.surface = \"sheet.front\": expected a face of a "
        "substrate; part \"body\" of \"sheet\" is of metal\n");
}
