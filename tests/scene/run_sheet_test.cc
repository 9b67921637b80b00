#include "scene/run_sheet.h"

#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste {
namespace {

constexpr char kGood[] = R"(title = "First round"
scenes = ["poster.toml", "rooms/carton.toml"]
[[artwork]]
name = "primary"
slots = { mark = "art/primary.svg", back = "art/back.svg" }
[[artwork]]
name = "stacked"
slots = { mark = "art/stacked.svg" }
[[colourway]]
name = "night"
recolour = { "#0d3b66" = "#101820" }
[[output]]
name = "slide"
size = "1920x1080"
format = "jpeg"
[[output]]
name = "board"
size = "A3"
ppi = 300
format = "tiff"
profile = "coated offset"
[[exclude]]
artwork = "st*"
output = ["board", "slide"]
colourway = "none"
)";

Result<RunSheet> Parse(const std::string& text) {
  return ParseRunSheet(text, "/runs/pitch.toml", {test::SourcePath("."), {}});
}

std::string Exchange(std::string text, const std::string& from, const std::string& to) {
  const size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

// The only mistake of the good sheet with `from` exchanged.
std::string Mistake(const std::string& from, const std::string& to) {
  const auto sheet = Parse(Exchange(kGood, from, to));
  if (sheet.ok()) return "none";
  return FormatErrors(sheet.errors());
}

TEST_CASE("RunSheet: the contract's form is read, paths against its own folder",
          "[scene][invariant]") {
  const auto sheet = Parse(kGood);
  if (!sheet) FAIL(FormatErrors(sheet.errors()));
  CHECK(sheet->title == "First round");
  REQUIRE(sheet->scenes.size() == 2);
  CHECK(sheet->scenes[1].name == "carton");
  CHECK(sheet->scenes[1].file.value == "/runs/rooms/carton.toml");
  REQUIRE(sheet->artworks.size() == 2);
  CHECK(sheet->artworks[0].slots.at("back").value == "/runs/art/back.svg");
  CHECK(sheet->artworks[1].name.place.line == 7);
  REQUIRE(sheet->outputs.size() == 2);
  CHECK(sheet->outputs[1].name.value == "board");
  CHECK(sheet->outputs[1].format.value == "tiff");
  CHECK(sheet->outputs[1].density->value == 300);
  REQUIRE(sheet->colourways.size() == 1);
  REQUIRE(sheet->exclude.size() == 1);
  const RunRule& rule = sheet->exclude.front();
  CHECK(rule.artwork.Match("stacked"));
  CHECK_FALSE(rule.artwork.Match("primary"));
  CHECK(rule.scene.Match("anything"));
  CHECK(rule.output.Match("slide"));
  CHECK_FALSE(rule.colourway.Match("night"));
}

TEST_CASE("NamePatterns: * stands for any letters, none too", "[scene][closed-form]") {
  const auto fits = [](const std::string& pattern, const std::string& name) {
    return NamePatterns{{{pattern, {}, ""}}}.Match(name);
  };
  CHECK(fits("a*c", "abc"));
  CHECK(fits("a*c", "ac"));
  CHECK(fits("*", ""));
  CHECK(fits("*b*b*", "abbc"));
  CHECK_FALSE(fits("a*c", "acb"));
  CHECK_FALSE(fits("*b*b*", "abc"));
  CHECK_FALSE(fits("abc", "abcd"));
  CHECK(fits("**a**", "ba"));
  CHECK(fits("*ab*ab", "abxabab"));
  // Many stars cost no more than a few.
  std::string stars;
  for (int i = 0; i < 31; ++i) stars += "*a";
  CHECK_FALSE(fits(stars + "b", std::string(64, 'a')));
  CHECK(fits(stars, std::string(64, 'a')));
}

TEST_CASE("RunSheet: mistakes stand where they are written", "[scene][bad-input]") {
  CHECK(Mistake("title = \"First round\"", "titel = 1") ==
        "/runs/pitch.toml:1:1: error: titel: unknown key; did you mean title?\n");
  CHECK(Mistake("\"rooms/carton.toml\"", "\"../carton.toml\"")
            .find("/runs/pitch.toml:2:26: error: scenes = \"../carton.toml\": ") == 0);
  CHECK(Mistake("\"rooms/carton.toml\"", "\"rooms/poster.toml\"") ==
        "/runs/pitch.toml:2:26: error: scenes = \"rooms/poster.toml\": an earlier scene's file is "
        "called poster too; the name is that of the folder its pictures go to\n");
  CHECK(Mistake("[\"poster.toml\", \"rooms/carton.toml\"]", "[]") ==
        "/runs/pitch.toml:2:10: error: scenes = []: expected the scenes' file names, such as "
        "[\"poster.toml\", \"carton.toml\"]\n");
  CHECK(Mistake("\"stacked\"", "\"primary\"") ==
        "/runs/pitch.toml:7:8: error: artwork.name = \"primary\": already used in line 4\n"
        "/runs/pitch.toml:23:11: error: exclude.artwork = \"st*\": nothing has this name; there "
        "are \"primary\" and \"primary\"\n");
  CHECK(Mistake("\"stacked\"", "\"st/acked\"")
            .find("/runs/pitch.toml:7:8: error: artwork.name = \"st/acked\": expected letters, "
                  "digits, - "
                  "and _\n") == 0);
  CHECK(Mistake("name = \"night\"", "name = \"none\"") ==
        "/runs/pitch.toml:10:8: error: colourway.name = \"none\": expected another name; this one "
        "stands for artwork as it is drawn\n");
  CHECK(Mistake("\"board\", \"slide\"", "\"bord\"") ==
        "/runs/pitch.toml:24:11: error: exclude.output = \"bord\": nothing has this name; there "
        "are \"slide\" and \"board\"; did you mean board?\n");
  CHECK(Mistake("slots = { mark = \"art/stacked.svg\" }", "") ==
        "/runs/pitch.toml:6:1: error: artwork.slots: missing; expected { SLOT = \"FILE\" }, such "
        "as { mark = \"art/primary.svg\" }\n");
  CHECK(Mistake("name = \"slide\"\n", "").find("output.name: missing") != std::string::npos);
}

TEST_CASE("LooksLikeRunSheet: tells a run sheet from a scene", "[scene][invariant]") {
  const test::TempFolder folder;
  test::WriteText(folder / "run.toml", kGood);
  test::WriteText(folder / "scene.toml", "title = \"x\"\n[photo]\nfile = \"a.jpg\"\n");
  CHECK(LooksLikeRunSheet(folder / "run.toml"));
  CHECK_FALSE(LooksLikeRunSheet(folder / "scene.toml"));
  CHECK_FALSE(LooksLikeRunSheet(folder / "none.toml"));
}

}  // namespace
}  // namespace wheatpaste
