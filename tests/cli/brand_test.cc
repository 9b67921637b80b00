// Brand rules through the whole program: what `check` says of a mark, for people and for programs.
#include <nlohmann/json.hpp>

#include "cli/small_scene.h"

using namespace wheatpaste::test;

namespace {

using Json = nlohmann::json;

// A plate of 18 x 12 units in the middle of the small scene's artwork, printed 300 mm wide on a card of 400 x 300 mm.
void WritePlate(const SmallScene& scene) {
  WriteText(scene.folder / "mark.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"20mm\" "
            "viewBox=\"0 0 30 20\"><rect x=\"6\" y=\"4\" width=\"18\" height=\"12\" "
            "fill=\"#0f4a3f\"/></svg>\n");
}

Json Findings(const SmallScene& scene) {
  const RunResult run = scene.Program("check scene.toml --artwork mark=mark.svg --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  return ParseJson(run.out)["brand"];
}

Json FindingOf(const Json& brand, const std::string& rule) {
  for (const Json& finding : brand) {
    if (finding["rule"] == rule) return finding;
  }
  FAIL("no finding of " << rule);
  return {};
}

}  // namespace

// Closed form: 300 mm wide at 30 units is 10 mm a unit; the plate is 180 x 120 mm in the middle of 400 x 300 mm, so it
// stands 90 mm from the top and 110 mm from the left. Half its height is 60 mm.
// Limit   0.2 mm: a pixel of the drawing.
TEST_CASE("check: clear space in shares of the mark's height", "[cli][closed-form]") {
  SmallScene scene;
  WritePlate(scene);
  scene.Replace("width = 300", "width = 300\nclear_space = 0.5");
  const Json clear = FindingOf(Findings(scene), "clear space");
  CHECK(clear["measured"].get<double>() == Approx(90).margin(0.2));
  CHECK(clear["expected"].get<double>() == Approx(60).margin(0.2));
  CHECK(clear["verdict"] == "kept");
  CHECK(clear["placement"] == 0);
  CHECK(clear["unit"] == "mm");
  scene.Replace("clear_space = 0.5", "clear_space = 0.8");
  const RunResult run = scene.Program("check scene.toml --artwork mark=mark.svg");
  INFO(run.out);
  CHECK(run.out.find("brand       mark: look at this: the mark stands 90.0 mm clear of an edge or "
                     "crease; 96.") != std::string::npos);
}

TEST_CASE("check: every finding has its keys, and null says why", "[cli][invariant]") {
  SmallScene scene;
  WritePlate(scene);
  const Json brand = Findings(scene);
  for (const Json& finding : brand) {
    INFO(finding.dump());
    for (const char* key : {"rule", "placement", "subject", "measured", "expected", "unit",
                            "source", "verdict", "words"}) {
      CHECK(finding.contains(key));
    }
    CHECK(finding["measured"].is_null() == (finding["verdict"] == "not measured"));
    CHECK_FALSE(finding["words"].get<std::string>().empty());
    if (!finding["expected"].is_null()) CHECK(finding["source"].is_string());
  }
  CHECK(FindingOf(brand, "lettering")["words"] == "no lettering found");

  scene.Replace("substrate = \"coated paper\"", "substrate = \"photo\"");
  CHECK(FindingOf(Findings(scene), "contrast")["measured"].is_null());
}

TEST_CASE("check: without a size no length is made up", "[cli][invariant]") {
  SmallScene scene;
  WritePlate(scene);
  scene.Replace("size = [400, 300]\n", "");
  scene.Replace("width = 300", "clear_space = 0.5");
  const Json brand = Findings(scene);
  for (const char* rule : {"line", "lettering", "clear space", "edge distance", "bleed"}) {
    const Json finding = FindingOf(brand, rule);
    CHECK(finding["measured"].is_null());
    CHECK(finding["words"] == "no length is known, as surface card has no size");
  }
  CHECK(FindingOf(brand, "contrast")["measured"].is_number());
  // Said once to people.
  const std::string out = scene.Program("check scene.toml --artwork mark=mark.svg").out;
  const size_t first = out.find("no length is known");
  CHECK(first != std::string::npos);
  CHECK(out.find("no length is known", first + 1) == std::string::npos);
}

TEST_CASE("check: wrong clear space is refused", "[cli][bad-input]") {
  SmallScene scene;
  scene.Replace("width = 300", "width = 300\nclear_space = -1\nclear_space_mm = 5");
  CheckRefused(
      scene, "check scene.toml",
      "scene.toml:15:15: error: placement.clear_space = -1: expected a share of the mark's "
      "height, from 0 to 10\n"
      "scene.toml:16:18: error: placement.clear_space_mm = 5: expected clear_space or "
      "clear_space_mm, not both\n");
}
