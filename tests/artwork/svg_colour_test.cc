// Colours as SVG writes them, against librsvg's reading of the same text.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/colour_names.h"
#include "artwork/svg_colour.h"
#include "artwork_support.h"
#include "support.h"

namespace wheatpaste {
namespace {

// The colours that rsvg-convert (librsvg2-bin) gives to squares filled with `texts`, 8-bit codes.
std::vector<Srgb8> DrawnByLibrsvg(const std::vector<std::string>& texts) {
  const test::TempFolder folder;
  std::string svg =
      fmt::format("<svg xmlns='http://www.w3.org/2000/svg' width='{}' height='1'>", texts.size());
  for (size_t i = 0; i < texts.size(); ++i) {
    svg += fmt::format("<rect x='{}' width='1' height='1' fill='{}'/>", i, texts[i]);
  }
  test::WriteText(folder / "squares.svg", svg + "</svg>");
  const auto run = test::Run(
      fmt::format("cd '{}' && rsvg-convert -o squares.png squares.svg && convert squares.png "
                  "-depth 8 rgb:squares.rgb",
                  folder.path()));
  REQUIRE(run.status == 0);
  const std::string codes = test::ReadText(folder / "squares.rgb");
  REQUIRE(codes.size() == 3 * texts.size());
  std::vector<Srgb8> colours;
  const auto code = [&](size_t at) { return static_cast<uint8_t>(codes[at]); };
  for (size_t i = 0; i < texts.size(); ++i) {
    colours.push_back({code(3 * i), code(3 * i + 1), code(3 * i + 2)});
  }
  return colours;
}

}  // namespace

// Source  CSS Color Module Level 4, 6.1, as librsvg 2.54 draws its names.
TEST_CASE("Colour names: all 148 as librsvg draws them", "[artwork][reference]") {
  std::vector<std::string> names;
  for (const auto& [name, colour] : NamedColours()) names.emplace_back(name);
  REQUIRE(names.size() == kColourNames);
  const auto drawn = DrawnByLibrsvg(names);
  for (size_t i = 0; i < names.size(); ++i) {
    CAPTURE(names[i]);
    CHECK(NamedColours()[i].second == drawn[i]);
    CHECK(ColourNamed(names[i]) == drawn[i]);
  }
}

TEST_CASE("SVG colours: every way of writing as librsvg reads it", "[artwork][reference]") {
  const std::vector<std::string> texts = {"#123",
                                          "#AbC",
                                          "#12345F",
                                          "#123f",
                                          "#abcdefff",
                                          "rgb(12,250,3)",
                                          "RGB( 12 , 250 ,3 )",
                                          "rgb(12 250 3)",
                                          "rgb(300,-5,127)",
                                          "rgb(12.3%, 50%, 99.8%)",
                                          "rgb(95.684814%,82.743835%,36.862183%)",
                                          "rgba(10,20,30,1)",
                                          "rgba(10%,20%,30%,100%)",
                                          "hsl(210, 65%, 20%)",
                                          "hsl(-30,100%,50%)",
                                          "hsl(480deg 33% 77%)",
                                          "hsla(0.25turn,50%,50%,1)",
                                          "Navy",
                                          "REBECCAPURPLE"};
  const auto drawn = DrawnByLibrsvg(texts);
  for (size_t i = 0; i < texts.size(); ++i) {
    CAPTURE(texts[i]);
    const auto read = ParseColour(texts[i]);
    REQUIRE(read);
    CHECK(HexOf(read->colour) == HexOf(drawn[i]));
  }
}

TEST_CASE("SVG colours: what is no colour is not taken for one", "[artwork][bad-input]") {
  for (const char* text : {"",
                           "#",
                           "#12",
                           "#12345",
                           "#1234567",
                           "#12g",
                           "none",
                           "currentColor",
                           "transparent",
                           "inherit",
                           "rgb(1,2)",
                           "rgb(1,2,3,4,5)",
                           "rgb(1,2%,3)",
                           "rgb(1,2,x)",
                           "rgb(1,2,3",
                           "hsl(1,2,3)",
                           "hsl(1em,2%,3%)",
                           "url(#a)",
                           "blu",
                           "rgb()",
                           "rgb(nan,0,0)",
                           "rgb(1e999,0,0)",
                           "lab(50% 0 0)"}) {
    CAPTURE(text);
    CHECK_FALSE(ParseColour(text));
  }
}

TEST_CASE("SVG colours: a colour exchanged keeps its alpha", "[artwork][closed-form]") {
  const Srgb8 blue{0x12, 0x34, 0x56};
  const std::string cases[][2] = {{"#fff", "#123456"},
                                  {"#fff8", "#12345688"},
                                  {"#ffffff80", "#12345680"},
                                  {"rgba(255,255,255,.5)", "rgba(18,52,86,.5)"},
                                  {"rgb(100% 100% 100% / 25%)", "rgba(18,52,86,25%)"},
                                  {"white", "#123456"}};
  for (const auto& one : cases) {
    const auto read = ParseColour(one[0]);
    REQUIRE(read);
    CHECK(WriteColour(blue, *read) == one[1]);
  }
}

TEST_CASE("Hex colours: with three and six digits, any case", "[artwork][closed-form]") {
  CHECK(ColourFromHex("#0D3b66") == Srgb8{13, 59, 102});
  CHECK(ColourFromHex("#f0a") == Srgb8{255, 0, 170});
  CHECK(HexOf({13, 59, 102}) == "#0d3b66");
  for (const char* text : {"", "#", "0d3b66", "#0d3b6", "#0d3b667", "#0d3b6g", " #0d3b66"}) {
    CHECK_FALSE(ColourFromHex(text));
  }
}

}  // namespace wheatpaste
