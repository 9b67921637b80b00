// The flat colours of an artwork and the area that each has.
#include <cmath>

#include <catch2/catch.hpp>

#include "artwork/main_colours.h"
#include "artwork_support.h"
#include "must_run.h"
#include "support.h"

using namespace wheatpaste;
using namespace wheatpaste::test;

namespace {

std::vector<MainColour> Found(const Artwork& artwork) {
  auto colours = MainColours(artwork);
  if (!colours) FAIL(FormatErrors(colours.errors()));
  return std::move(*colours);
}

}  // namespace

// Limit  0.002 of the area: a pixel's width along every edge does not count, here 2 x 1.4 px in 2048.
TEST_CASE("Main colours: areas of rectangles, and no colour of an edge", "[artwork][closed-form]") {
  const auto art = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='100' height='100'>"
      "<rect width='100' height='60' fill='#0d3b66'/><rect y='60' width='30' height='40' "
      "fill='#f4d35e'/><circle cx='80' cy='20' r='0.2' fill='#ff0000'/></svg>");
  const auto colours = Found(*art);
  REQUIRE(colours.size() == 2);
  CHECK(colours[0].colour == Srgb8{0x0d, 0x3b, 0x66});
  CHECK(colours[0].share == Approx(6000.0 / 7200).margin(0.002));
  CHECK(colours[1].colour == Srgb8{0xf4, 0xd3, 0x5e});
  CHECK(colours[1].share == Approx(1200.0 / 7200).margin(0.002));
}

TEST_CASE("Main colours: a gradient and half transparent paint have none",
          "[artwork][closed-form]") {
  const auto art = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='100' height='50'><linearGradient id='g' "
      "x2='1' y2='1'><stop stop-color='#000'/><stop offset='1' stop-color='#fff'/></linearGradient>"
      "<rect width='50' height='50' fill='url(#g)'/>"
      "<rect x='50' width='50' height='50' fill='#0a0' opacity='0.5'/></svg>");
  CHECK(Found(*art).empty());
}

TEST_CASE("Main colours: no more than the most, the largest first", "[artwork][invariant]") {
  std::string svg = "<svg xmlns='http://www.w3.org/2000/svg' width='300' height='10'>";
  for (int i = 0; i < 30; ++i) {
    svg += "<rect x='" + std::to_string(i * 10) + "' width='10' height='" +
           std::to_string(i < 15 ? 10 : 5) + "' fill='rgb(" + std::to_string(i * 8) + ",0,0)'/>";
  }
  const auto colours = Found(*SvgFrom(svg + "</svg>"));
  REQUIRE(colours.size() == kMostMainColours);
  for (size_t i = 1; i < colours.size(); ++i) CHECK(colours[i - 1].share >= colours[i].share);
  for (size_t i = 0; i < 15; ++i) CHECK(colours[i].colour.r < 15 * 8);
}

TEST_CASE("Main colours: a bitmap is looked at with its own pixels", "[artwork][reference]") {
  const TempFolder folder;
  MustRun("/usr/bin/convert -size 40x20 'xc:#123456' -size 10x20 'xc:#abcdef' +append PNG24:'" +
          folder / "art.png" + "'");
  const auto art = ReadArtwork(At(folder / "art.png"));
  REQUIRE(art.ok());
  const auto colours = Found(**art);
  REQUIRE(colours.size() == 2);
  CHECK(colours[0].colour == Srgb8{0x12, 0x34, 0x56});
  CHECK(colours[0].share == Approx(39.0 / 50));
  CHECK(colours[1].colour == Srgb8{0xab, 0xcd, 0xef});
  CHECK(colours[1].share == Approx(9.0 / 50));
}
