// Swatches and colourways: what they come to, and every mistake in them by its exact message.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "scene/read_colour.h"
#include "scene/read_colourways.h"
#include "scene_text.h"

namespace wheatpaste {
namespace {

const std::string kScene = test::kPhoto + test::kPoster;  // seven lines
const std::string kSwatches = "[swatch]\n\"seed green\" = \"#0F4A3F\"\nnight = \"#012\"\n";
const std::string kNight = "[[colourway]]\nname = \"night\"\n";

// The errors in `text` after a scene that is right, without "scenes/x.toml:".
std::string ErrorsIn(const std::string& text) {
  std::string errors = test::ErrorsOf(kScene + text);
  constexpr std::string_view kFile = "scenes/x.toml:";
  for (size_t at = errors.find(kFile); at != std::string::npos; at = errors.find(kFile)) {
    errors.erase(at, kFile.size());
  }
  return errors;
}

}  // namespace

TEST_CASE("Colourways: colours and swatches, in the order of the file", "[scene][closed-form]") {
  const auto scene =
      test::Parse(kScene + kSwatches + kNight +
                  "recolour = { \"#0d3b66\" = \"#101820\", \"#FFF\" = \"#f2aa4c\" }\n"
                  "swatches = { \"seed green\" = \"night\", night = \"#abc\" }\n");
  REQUIRE(scene.ok());
  REQUIRE(scene->swatches.size() == 2);
  CHECK(scene->swatches[0].name == "seed green");
  CHECK(scene->swatches[0].colour == Srgb8{15, 74, 63});
  CHECK(scene->swatches[1].colour == Srgb8{0, 17, 34});
  const auto night = FindColourway(scene->colourways, {"night", {"--colourway night"}, ""});
  REQUIRE(night.ok());
  const auto changes = ChangesOf(*night, scene->swatches);
  REQUIRE(changes.ok());
  const Srgb8 expected[][2] = {{{13, 59, 102}, {16, 24, 32}},
                               {{255, 255, 255}, {242, 170, 76}},
                               {{15, 74, 63}, {0, 17, 34}},
                               {{0, 17, 34}, {170, 187, 204}}};
  REQUIRE(changes->size() == 4);
  for (size_t i = 0; i < 4; ++i) {
    CHECK((*changes)[i].from.value == expected[i][0]);
    CHECK((*changes)[i].to == expected[i][1]);
  }
  CHECK((*changes)[2].from.place.line == 14);
  CHECK((*changes)[2].from.key == "colourway.swatches.seed green");
}

TEST_CASE("Swatches: mistakes", "[scene][bad-input]") {
  CHECK(ErrorsIn("[[swatch]]\nred = \"#f00\"\n") ==
        "8:1: error: swatch = [{ red = \"#f00\" }]: expected a [swatch] table of names and "
        "colours\n");
  CHECK(ErrorsIn("[swatch]\nred = \"f00\"\n\"#f00\" = \"#f00\"\n\"\" = \"#fff\"\nblue = 5\n") ==
        "9:7: error: swatch.red = \"f00\": expected #rrggbb, such as \"#0f4a3f\"\n"
        "10:1: error: swatch.#f00: expected a name that does not begin with #\n"
        "11:1: error: swatch.: expected some text between the quotes\n"
        "12:8: error: swatch.blue = 5: expected #rrggbb, such as \"#0f4a3f\"\n");
  std::string many = "[swatch]\n";
  for (int i = 0; i < 66; ++i) many += fmt::format("s{} = \"#fff\"\n", i);
  CHECK(ErrorsIn(many) == "73:1: error: swatch.s64: expected at most 64 swatches\n");
}

TEST_CASE("Colourways: mistakes", "[scene][bad-input]") {
  const std::string kHex = "recolour = { \"#fff\" = \"#000\" }\n";
  const std::string cases[][2] = {
      {"[colourway]\nname = \"night\"\n",
       "8:1: error: colourway = { name = \"night\" }: expected [[colourway]] tables, "
       "in double brackets"},
      {"[[colourway]]\n" + kHex,
       "8:1: error: colourway.name: missing; expected a name, such as \"night\""},
      {"[[colourway]]\nname = \"by night\"\n" + kHex,
       "9:8: error: colourway.name = \"by night\": expected letters, digits, - and _"},
      {kNight + kHex + kNight + kHex,
       "12:8: error: colourway.name = \"night\": already used in line 9"},
      {kNight,
       "8:1: error: colourway: missing; expected recolour = { \"#rrggbb\" = \"#rrggbb\" }, or "
       "swatches = { \"a swatch\" = \"another\" }"},
      {kNight + "recolour = {}\n",
       "10:12: error: colourway.recolour = {}: expected { \"#rrggbb\" = \"#rrggbb\" }, from colour "
       "to colour"},
      {kNight + "swatches = [\"a\"]\n",
       "10:12: error: colourway.swatches = [\"a\"]: expected { \"a swatch\" = \"another, or "
       "#rrggbb\" }"},
      {kNight + "recolour = { white = \"#000\" }\n",
       "10:14: error: colourway.recolour.white: expected a colour as the key: #rrggbb, such as "
       "\"#0f4a3f\""},
      {kNight + "recolour = { \"#fff\" = \"black\" }\n",
       "10:23: error: colourway.recolour.#fff = \"black\": expected #rrggbb, such as \"#0f4a3f\""},
      {kSwatches + kNight + "swatches = { \"#fff\" = \"night\" }\n",
       "13:14: error: colourway.swatches.#fff: expected a swatch's name as the key; colours stand "
       "in recolour"},
      {kSwatches + kNight + "swatches = { \"sed green\" = \"nigth\" }\n",
       "13:14: error: colourway.swatches.sed green: no swatch has this name; did you mean \"seed "
       "green\"?\n"
       "13:28: error: colourway.swatches.sed green = \"nigth\": no swatch has this name; did you "
       "mean \"night\"?"},
      {kSwatches + kNight + "swatches = { night = \"winter\" }\n",
       "13:22: error: colourway.swatches.night = \"winter\": no swatch has this name; there are "
       "\"seed green\" and \"night\""},
      {kNight + "swatches = { night = \"#ab\" }\n",
       "10:14: error: colourway.swatches.night: no swatch has this name; there are none; write "
       "#rrggbb\n"
       "10:22: error: colourway.swatches.night = \"#ab\": expected #rrggbb, such as \"#0f4a3f\""},
      {kSwatches + kNight +
           "recolour = { \"#0f4a3f\" = \"#000\" }\nswatches = { \"seed green\" = "
           "\"night\" }\n",
       "14:14: error: colourway.swatches.seed green: the colour #0f4a3f stands in line 13 already; "
       "expected each once"},
      {kNight + kHex + "recolor = 1\n",
       "11:1: error: colourway.recolor: unknown key; did you mean recolour?"},
  };
  for (const auto& one : cases) {
    INFO(one[0]);
    CHECK(ErrorsIn(one[0]) == one[1] + "\n");
  }
}

TEST_CASE("Colourways: an unknown one names the nearest", "[scene][bad-input]") {
  const auto refusal = [](const std::vector<Colourway>& known, const std::string& name) {
    const auto found = FindColourway(known, {name, {"--colourway " + name}, ""});
    return found.ok() ? "" : FormatErrors(found.errors());
  };
  CHECK(refusal({}, "day") ==
        "--colourway day: error: no colourway has this name; there are none\n");
  const std::vector<Colourway> two{{{"night", {}, ""}, {}}, {{"frost", {}, ""}, {}}};
  CHECK(refusal(two, "nihgt") ==
        "--colourway nihgt: error: no colourway has this name; did you mean \"night\"?\n");
  CHECK(refusal(two, "x") ==
        "--colourway x: error: no colourway has this name; there are \"night\" and \"frost\"\n");
}

// For keys of other parts of a scene that name a colour.
TEST_CASE("Colours: by digits or by a swatch's name", "[scene][bad-input]") {
  const auto read = [](const std::string& value) {
    const auto toml = ParseToml("colour = " + value, "x.toml");
    REQUIRE(toml.ok());
    Mistakes mistakes("x.toml");
    TableReader table(*toml, "ink", mistakes);
    const auto colour = ReadColour(table, "colour", {{"leaf", {1, 2, 3}, {}}});
    return colour ? HexOf(*colour) : FormatErrors(std::move(mistakes).Sorted());
  };
  CHECK(read("\"leaf\"") == "#010203");
  CHECK(read("\"#A0b\"") == "#aa00bb");
  CHECK(read("\"laef\"") ==
        "x.toml:1:10: error: ink.colour = \"laef\": no swatch has this name; did you mean "
        "\"leaf\"?\n");
  CHECK(read("\"#a0bb\"") ==
        "x.toml:1:10: error: ink.colour = \"#a0bb\": expected #rrggbb, such as \"#0f4a3f\"\n");
  CHECK(read("7") ==
        "x.toml:1:10: error: ink.colour = 7: expected a swatch's name or #rrggbb, such as "
        "\"#0f4a3f\"\n");
}

}  // namespace wheatpaste
