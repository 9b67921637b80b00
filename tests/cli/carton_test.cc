// Cartons on a stage: what `check` says of artwork for the whole blank, and the caution that goes with every picture of one.
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cli/stage_scene.h"

using namespace wheatpaste::test;

namespace {

using Json = nlohmann::json;

constexpr char kCaution[] =
    "dieline and board allowances vary: a converter's sample decides before tooling; nothing here "
    "is structural or food-contact advice";

constexpr char kCartonStage[] = R"([stage]
size = [48, 36]
samples = 1
sun = { around = 20, height = 30 }
[stage.camera]
at = [60, 60, 300]
aim = [0, 30, 0]
[[stage.object]]
name = "box"
solid = "carton"
style = "tuck"
inner = [40, 20, 60]
board = 0.5
substrate = "white-lined board"
[[stage.object]]
name = "other"
solid = "carton"
style = "sleeve"
inner = [40, 20, 60]
board = 0.5
at = [80, 0, 0]
[[placement]]
surface = "box.flat"
artwork = "mark"
fit = "stretch"
)";

// `dieline --style tuck --inner 40x20x60 --board 0.5` draws a page of 154.29 x 146.93 mm: glue flap from x = 10 to 20.59, back from there to
// 61.77, left to 82.95, front to 123.62, right to 144.30; walls from y = 42.63 to 104.31.
void WriteBlank(const StageScene& scene, const std::string& inside) {
  WriteText(scene.folder / "mark.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"154.29mm\" height=\"146.93mm\" "
            "viewBox=\"0 0 154.29 146.93\"><g fill=\"#0f4a3f\">" +
                inside + "</g></svg>\n");
}

std::string Rect(double x0, double y0, double x1, double y1) {
  return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>", x0, y0, x1 - x0,
                     y1 - y0);
}

// Letters of different widths, 4 mm high, that begin at x; 17 mm all together.
std::string Letters(double x, double y) {
  std::string text;
  for (const double width : {2.0, 3.0, 1.5, 3.5, 2.5}) {
    text += Rect(x, y, x + width, y + 4);
    x += width + 1;
  }
  return text;
}

Json FindingOf(const StageScene& scene, const std::string& rule) {
  const Json report = ParseJson(scene.Done("check scene.toml --artwork mark=mark.svg --json").out);
  for (const Json& finding : report["brand"]) {
    if (finding["rule"] == rule) return finding;
  }
  FAIL("no finding of " << rule);
  return {};
}

bool Says(const StageScene& scene, const std::string& words) {
  const std::string out = scene.Done("check scene.toml --artwork mark=mark.svg").out;
  INFO(out);
  return out.find("look at this: " + words) != std::string::npos;
}

size_t TimesIn(const std::string& text, const std::string& part) {
  size_t times = 0;
  for (size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++times;
  return times;
}

}  // namespace

// Limit   a px of the drawing, 1 / 16 mm.
TEST_CASE("check: lettering across a crease of a carton", "[cli][closed-form]") {
  const StageScene scene(kCartonStage);
  WriteBlank(scene, Letters(90, 70));
  Json finding = FindingOf(scene, "lettering on creases");
  CHECK(finding["verdict"] == "kept");
  CHECK(finding["measured"].get<double>() == Approx(90 - 82.945).margin(0.07));
  WriteBlank(scene, Letters(90, 60) + Letters(55, 70));
  finding = FindingOf(scene, "lettering on creases");
  CHECK(finding["verdict"] == "broken");
  CHECK(finding["measured"] == 0);
  CHECK(finding["placement"] == 0);
  CHECK(Says(scene,
             "what looks like lettering at [55, 74] runs across the crease between back and left; "
             "folded, it breaks there\n"));
}

TEST_CASE("check: bleed along a carton's cuts", "[cli][closed-form]") {
  const StageScene scene(kCartonStage);
  // All over, but for the glue flap.
  WriteBlank(scene, Rect(18, 5, 154, 142));
  CHECK(FindingOf(scene, "bleed")["verdict"] == "kept");
  // The right wall ends at x = 144.30.
  WriteBlank(scene, Rect(18, 5, 145.3, 142));
  const Json finding = FindingOf(scene, "bleed");
  CHECK(finding["verdict"] == "broken");
  CHECK(finding["measured"].get<double>() == Approx(1).margin(0.07));
  CHECK(Says(scene,
             "the artwork reaches an edge and goes on for 1.0 mm beyond it; 3 mm of bleed "
             "are expected\n"));
}

TEST_CASE("check: print under a carton's glue flap", "[cli][closed-form]") {
  const StageScene scene(kCartonStage);
  // Over the crease by 2.6 mm, as bleed does.
  WriteBlank(scene, Rect(18, 60, 60, 80));
  CHECK(FindingOf(scene, "glue")["verdict"] == "kept");
  // From x = 12 to 3 mm before the crease, 20 mm high.
  WriteBlank(scene, Rect(12, 60, 60, 80));
  const Json finding = FindingOf(scene, "glue");
  CHECK(finding["verdict"] == "broken");
  CHECK(finding["unit"] == "mm^2");
  // Limit: a step of the sampling, 0.25 mm, on every side.
  CHECK(finding["measured"].get<double>() == Approx((17.59 - 12) * 20).margin(8));
  CHECK(Says(scene, fmt::format("{:.0f} mm^2 of a glue area are printed; glue wants bare board",
                                finding["measured"].get<double>())));
}

TEST_CASE("carton: render, check, stage and batch say once that a sample decides",
          "[cli][invariant]") {
  const StageScene scene(kCartonStage);
  const std::string note = std::string("note: ") + kCaution + "\n";
  const std::string render =
      scene.Done("render scene.toml --artwork mark=mark.svg --out one.png --report one.json").err;
  CHECK(TimesIn(render, note) == 1);
  CHECK(TimesIn(ReadText(scene.folder / "one.json"), kCaution) == 1);
  CHECK(TimesIn(scene.Done("check scene.toml").out, kCaution) == 1);
  CHECK(TimesIn(scene.Done("check scene.toml --json").out, kCaution) == 1);
  CHECK(TimesIn(scene.Done("stage scene.toml").err, note) == 1);
  WriteText(scene.folder / "run.toml",
            "scenes = [\"scene.toml\"]\n[[artwork]]\nname = \"plain\"\nslots = { mark = "
            "\"mark.svg\" }\n[[output]]\nname = \"own\"\nformat = \"png\"\n");
  CHECK(TimesIn(scene.Done("batch run.toml").err, kCaution) == 1);
  CHECK(TimesIn(ReadText(scene.folder / "run-out/manifest.json"), kCaution) == 1);
  // A stage without a carton has no such note.
  const StageScene sheet;
  CHECK(TimesIn(sheet.Done("check scene.toml").out, kCaution) == 0);
}
