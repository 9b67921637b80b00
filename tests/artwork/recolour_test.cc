// Recolouring: the text that comes out, against the same drawing coloured by hand.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/recolour.h"
#include "artwork_support.h"
#include "support.h"

namespace wheatpaste {
namespace {

constexpr Srgb8 kBlue{0x0d, 0x3b, 0x66}, kYellow{0xf4, 0xd3, 0x5e}, kBlack{0, 0, 0};
constexpr Srgb8 kNight{0x10, 0x18, 0x20}, kAmber{0xf2, 0xaa, 0x4c}, kWhite{255, 255, 255};

std::string Around(const std::string& inner, const std::string& root = "") {
  return "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
         "width='60' height='60'" +
         root + ">" + inner + "</svg>";
}

RecolouredSvg Recolour(const std::string& text, const Recolouring& recolouring) {
  auto done = RecolourSvg(text, recolouring, test::At("art.svg"));
  if (!done) FAIL(FormatErrors(done.errors()));
  return std::move(*done);
}
std::string TextOf(const RecolouredSvg& done) { return {done.svg.begin(), done.svg.end()}; }

// The svg's content after blue has become night.
std::string Exchanged(const std::string& inner) {
  return TextOf(Recolour(Around(inner), {.exact = {{kBlue, kNight}}}));
}

Image<LinearPremul> Drawn(const std::string& text, const Recolouring& recolouring = {}) {
  auto art = DecodeArtwork(test::BytesOf(text), test::At("art.svg"), recolouring);
  if (!art) FAIL(FormatErrors(art.errors()));
  auto raster = (*art)->Rasterise({60, 60});
  if (!raster) FAIL(FormatErrors(raster.errors()));
  return std::move(*raster);
}

std::string RefusalOf(const std::string& text, const Recolouring& recolouring,
                      const std::string& name = "art.svg") {
  auto art = DecodeArtwork(test::BytesOf(text), test::At(name), recolouring);
  return art.ok() ? "" : FormatErrors(art.errors());
}

}  // namespace

TEST_CASE("Recolour: each place where a colour may stand", "[artwork][closed-form]") {
  const std::string cases[][2] = {
      {"<path fill='#0d3b66'/>", "<path fill='#101820'/>"},
      {"<path fill=\"#0D3B66\"/>", "<path fill=\"#101820\"/>"},
      {"<path stroke=' rgb(13,59,102) '/>", "<path stroke=' #101820 '/>"},
      {"<path fill='rgb(5.097961%,23.136902%,39.99939%)'/>", "<path fill='#101820'/>"},
      {"<path fill='hsl(209,77.4%,22.55%)'/>", "<path fill='#101820'/>"},
      {"<path fill='#0d3b6680'/>", "<path fill='#10182080'/>"},
      {"<path fill='rgba(13,59,102,.5)'/>", "<path fill='rgba(16,24,32,.5)'/>"},
      {"<path fill='url(#0d3b66) #0d3b66'/>", "<path fill='url(#0d3b66) #101820'/>"},
      {"<stop stop-color='#0d3b66'/>", "<stop stop-color='#101820'/>"},
      {"<feFlood flood-color='#0d3b66'/>", "<feFlood flood-color='#101820'/>"},
      {"<feDiffuseLighting lighting-color='#0d3b66'/>",
       "<feDiffuseLighting lighting-color='#101820'/>"},
      {"<g color='#0d3b66'><path fill='currentColor'/></g>",
       "<g color='#101820'><path fill='currentColor'/></g>"},
      {"<path style='fill:#0d3b66;stroke : #0D3B66 ! important'/>",
       "<path style='fill:#101820;stroke : #101820 ! important'/>"},
      {"<path style='font-family:&quot;a&quot;;fill:#0d3b66'/>",
       "<path style='font-family:&quot;a&quot;;fill:#101820'/>"},
      {"<style>a{b:#0d3b66} .c,d{x:y;FILL:#0d3b66}</style>",
       "<style>a{b:#0d3b66} .c,d{x:y;FILL:#101820}</style>"},
      {"<style><![CDATA[.c>d{fill:#0d3b66/*#0d3b66*/}]]></style>",
       "<style><![CDATA[.c>d{fill:#101820/*#0d3b66*/}]]></style>"},
  };
  for (const auto& one : cases) CHECK(Exchanged(one[0]) == Around(one[1]));
}

TEST_CASE("Recolour: what is no colour stays byte for byte", "[artwork][invariant]") {
  for (const char* inner :
       {"<text>#0d3b66</text>", "<!-- <path fill='#0d3b66'/> -->", "<path id='0d3b66'/>",
        "<path d='#0d3b66' data-fill='#0d3b66' x:fill='#0d3b66'/>", "<title>navy</title>",
        "<use href='#0d3b66' xlink:href='#0d3b66'/>", "<path fill='url(#0d3b66)'/>",
        "<path style='-x-fill:#0d3b66;fill-rule:evenodd'/>", "<path fill='#0d3b6'/>",
        "<style>/* .a{fill:#0d3b66} */ .b::after{content:'fill:#0d3b66'}</style>",
        "<path fill='none' stroke='transparent'/>", "<clipPath><path fill='#0d3b66'/></clipPath>",
        "<mask><g><path fill='#0d3b66'/></g></mask>"}) {
    CAPTURE(inner);
    CHECK(Exchanged(inner) == Around(inner));
  }
}

TEST_CASE("Recolour: unstated black is a colour like any other", "[artwork][closed-form]") {
  const Recolouring black{.exact = {{kBlack, kNight}}};
  const auto after = [&](const std::string& inner, const std::string& root = "") {
    return TextOf(Recolour(Around(inner, root), black));
  };
  const auto stated = [](const std::string& text) {
    return "<svg fill=\"#101820\" color=\"#101820\"" + text.substr(4);
  };
  CHECK(after("<path/>") == stated(Around("<path/>")));
  // A root that states its fill keeps it.
  CHECK(after("<path/>", " style='fill:red'") ==
        "<svg color=\"#101820\"" + Around("<path/>", " style='fill:red'").substr(4));
  CHECK(after("<linearGradient><stop/></linearGradient>") ==
        stated(Around("<linearGradient><stop stop-color=\"#101820\"/></linearGradient>")));
  // A mask keeps what it took over from around it.
  CHECK(after("<mask><path/></mask>") ==
        stated(Around("<mask fill=\"#000000\" color=\"#000000\"><path/></mask>")));
  CHECK(
      after("<g fill='#000'><mask><path/></mask></g>") ==
      stated(Around("<g fill='#101820'><mask fill=\"#000\" color=\"#000000\"><path/></mask></g>")));
}

TEST_CASE("Recolour: black counts as present only where a shape may be black",
          "[artwork][closed-form]") {
  const auto has_black = [](const std::string& inner) {
    return Recolour(Around(inner), {.exact = {{kBlue, kNight}}}).colours.contains(kBlack);
  };
  CHECK(has_black("<path/>"));
  CHECK(has_black("<path stroke='red'/>"));
  CHECK(has_black("<path fill='currentColor'/>"));
  CHECK(has_black("<defs><path id='a'/></defs><use href='#a'/>"));
  CHECK(has_black("<path class='b'/><style>.a{fill:red}</style>"));
  CHECK_FALSE(has_black("<path fill='red'/>"));
  CHECK_FALSE(has_black("<g style='fill:red'><path/></g>"));
  CHECK_FALSE(has_black("<g color='red'><path fill='currentColor'/></g>"));
  CHECK_FALSE(has_black("<defs><path id='a'/></defs><use href='#a' fill='red'/>"));
  CHECK_FALSE(has_black("<path class='x a'/><style>g .a, rect{fill:red}</style>"));
  CHECK_FALSE(has_black("<path/><style>path{fill:red}</style>"));
  CHECK_FALSE(has_black("<mask><path/></mask><clipPath><path/></clipPath>"));
}

TEST_CASE("Recolour: a mask's parts keep their colours, wherever they stand",
          "[artwork][closed-form]") {
  // A gradient that only the mask is filled with, through a shape that only the mask uses.
  const std::string covering =
      "<linearGradient id='fade'><stop stop-color='#0d3b66'/></linearGradient>"
      "<g id='part'><rect fill='url(#fade)'/></g><mask id='m'><use href='#part'/></mask>";
  const std::string seen = "<rect id='seen' fill='#0d3b66' mask='url(#m)'/>";
  const std::string after = "<rect id='seen' fill='#101820' mask='url(#m)'/>";
  CHECK(Exchanged("<defs>" + covering + "</defs>" + seen) ==
        Around("<defs>" + covering + "</defs>" + after));
  // Drawn for itself too: the colour is exchanged, and a note says what that may do.
  const auto shared =
      Recolour(Around("<g id='a'><path fill='#0d3b66'/></g><mask><use href='#a'/></mask>"),
               {.exact = {{kBlue, kNight}}});
  REQUIRE(shared.notes.size() == 1);
  CHECK(shared.notes[0] ==
        "a mask shares its colours with what is seen; what it lets through may have changed");
}

TEST_CASE("Recolour: everything but the named colours becomes one", "[artwork][closed-form]") {
  const Recolouring mask{.exact = {{kBlue, kWhite}}, .others = kBlack};
  const auto done =
      Recolour(Around("<path fill='#0d3b66'/><path fill='#f4d35e' stroke='white'/><path/>"), mask);
  CHECK(TextOf(done) ==
        Around("<path fill='#ffffff'/><path fill='#000000' stroke='#000000'/><path/>"));
  CHECK(done.colours == std::set<Srgb8>{kBlack, kBlue, kYellow, kWhite});
}

// Outside  the same drawing with the colours exchanged by hand; both drawn by librsvg.
TEST_CASE("Recolour: the same pixels as colours written by hand", "[artwork][reference]") {
  const auto drawing = [](const std::string& blue, const std::string& yellow,
                          const std::string& black) {
    return "<svg xmlns='http://www.w3.org/2000/svg' width='60' height='60'><style>.leaf{fill:" +
           yellow + "}</style><defs><linearGradient id='g'><stop offset='0' stop-color='" + blue +
           "'/><stop offset='1' stop-color='" + black +
           "'/></linearGradient><linearGradient id='fade'><stop offset='0'/><stop offset='1' "
           "stop-color='#0d3b66'/></linearGradient><mask id='m'><rect width='60' height='60' "
           "fill='url(#fade)'/></mask></defs><rect width='40' height='20' fill='url(#g)'/>"
           "<circle class='leaf' cx='45' cy='15' r='12'/><path fill='" +
           black + "' d='M5 30h20v20z'/><g color='" + blue +
           "'><rect x='30' y='30' width='20' height='8' style='fill:currentColor;opacity:.5'/></g>"
           "<rect y='50' width='60' height='10' fill='" +
           blue + "' mask='url(#m)'/></svg>";
  };
  std::string unstated = drawing("#0d3b66", "rgb(244,211,94)", "black");
  const std::string fill = "<path fill='black' ";
  unstated.replace(unstated.find(fill), fill.size(), "<path ");
  const Recolouring night{.exact = {{kBlue, kNight}, {kYellow, kAmber}, {kBlack, kBlue}}};
  CHECK(test::LargestDifference(Drawn(unstated, night),
                                Drawn(drawing("#101820", "#f2aa4c", "#0d3b66"))) == 0);
  // There and back.
  const std::string there = TextOf(Recolour(unstated, night));
  const Recolouring back{.exact = {{kNight, kBlue}, {kAmber, kYellow}, {kBlue, kBlack}}};
  CHECK(test::LargestDifference(Drawn(there, back), Drawn(unstated)) == 0);
}

// Outside  a PDF by rsvg-convert (cairo), whose colours pdftocairo writes as rounded percentages.
TEST_CASE("Recolour: a PDF's colours are met by their 8-bit codes", "[artwork][reference]") {
  const test::TempFolder folder;
  test::WriteText(folder / "art.svg",
                  Around("<rect width='60' height='60' fill='#0d3b66'/><rect x='20' y='20' "
                         "width='20' height='20' fill='#f4d35e'/>"));
  REQUIRE(test::Run(fmt::format("cd '{}' && rsvg-convert -f pdf -o art.pdf art.svg", folder.path()))
              .status == 0);
  const Recolouring night{.exact = {{kBlue, kNight}, {kYellow, kAmber}}};
  const auto pdf = ReadArtwork(test::At(folder / "art.pdf"), night);
  REQUIRE(pdf.ok());
  CHECK((*pdf)->colours() == std::set<Srgb8>{kBlue, kYellow});
  const auto raster = (*pdf)->Rasterise({60, 60});
  REQUIRE(raster.ok());
  const SceneLinear ground = LinearFromSrgb(kNight), middle = LinearFromSrgb(kAmber);
  CHECK(raster->row(0, 5)[5] == Approx(ground.r).margin(1e-6));
  CHECK(raster->row(2, 5)[5] == Approx(ground.b).margin(1e-6));
  CHECK(raster->row(0, 30)[30] == Approx(middle.r).margin(1e-6));
  CHECK(raster->row(1, 30)[30] == Approx(middle.g).margin(1e-6));
}

TEST_CASE("Recolour: a colour that is lacking names those that are there", "[artwork][bad-input]") {
  const std::string start = "scene.toml:4:11: error: placement.artwork = \"art.svg\": ";
  const std::string art = Around("<path fill='#f4d35e'/><path fill='navy'/>");
  CHECK(RefusalOf(art, {.exact = {{kBlue, kNight}, {kNight, kBlue}}}) ==
        start + "has no colour #0d3b66; its colours: #000080, #f4d35e\n" + start +
            "has no colour #101820; its colours: #000080, #f4d35e\n");
  CHECK(RefusalOf(art, {.exact = {{kBlue, kNight}}, .required = false}) == "");
  CHECK(RefusalOf(Around("<g fill='none'/>"), {.exact = {{kBlue, kNight}}}) ==
        start + "has no colour #0d3b66; its colours: none\n");
}

TEST_CASE("Recolour: a bitmap is refused, or passed over", "[artwork][bad-input]") {
  const test::TempFolder folder;
  const std::string file = folder / "red.png";
  REQUIRE(test::Run("convert -size 4x4 xc:'#ff0000' '" + file + "'").status == 0);
  const auto refused = ReadArtwork(test::At(file), {.exact = {{kBlue, kNight}}});
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.errors()[0].message ==
        "is a bitmap; expected vector artwork (SVG or PDF), whose colours can be exchanged");
  CHECK(ReadArtwork(test::At(file), {.exact = {{kBlue, kNight}}, .required = false}).ok());
}

TEST_CASE("Recolour: colours behind entities are refused with their line", "[artwork][bad-input]") {
  const Recolouring night{.exact = {{kBlue, kNight}}};
  const std::string start = "scene.toml:4:11: error: placement.artwork = \"art.svg\": ";
  const std::string tail =
      " is written with entities, which cannot be recoloured; write plain characters\n";
  CHECK(RefusalOf("<!DOCTYPE svg [<!ENTITY blue '#0d3b66'>]>" + Around("\n<path fill='&blue;'/>"),
                  night) == start + "line 2: fill" + tail);
  CHECK(RefusalOf(Around("<path style='fill&#58;#0d3b66'/>"), night) ==
        start + "line 1: style" + tail);
  CHECK(RefusalOf(Around("<style>p{fill:&#35;0d3b66}</style>"), night) ==
        start + "line 1: a style sheet" + tail);
  for (const char* value : {"<path/>", "&#60;path/>"}) {
    CHECK(RefusalOf(
              std::string("<!DOCTYPE svg [<!ENTITY leaf \"") + value + "\">]>" + Around("&leaf;"),
              night) ==
          start +
              "line 1: entities that hold elements or entities cannot be recoloured; write them "
              "out\n");
  }
}

TEST_CASE("Recolour: pictures and filters inside the artwork are spoken of",
          "[artwork][invariant]") {
  const auto done = Recolour(
      Around("<path fill='#0d3b66'/><image href='data:,'/><filter><feTurbulence/></filter>"),
      {.exact = {{kBlue, kNight}}});
  REQUIRE(done.notes.size() == 2);
  CHECK(done.notes[0] == "pictures inside the artwork keep their colours");
  CHECK(done.notes[1] ==
        "filters that make colours of their own (feTurbulence) are not recoloured");
}

}  // namespace wheatpaste
