// Size, placement and bands of an SVG.
#include <cmath>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/svg_artwork.h"
#include "artwork_support.h"
#include "base/parallel.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::LargestDifference;
using test::Refusal;
using test::SvgFrom;

std::shared_ptr<const Artwork> Sized(const std::string& attributes) {
  return SvgFrom("<svg xmlns='http://www.w3.org/2000/svg' " + attributes +
                 "><rect width='10' height='10' fill='#c00'/></svg>");
}

// Shapes of every kind that could show a seam: edges, a gradient, a blur, a see-through group, a
// mask.
std::string Busy(bool layers) {
  std::string text =
      "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
      "width='100mm' height='70mm' viewBox='0 0 100 70'><defs><linearGradient id='g'>"
      "<stop offset='0' stop-color='#0d3b66'/><stop offset='1' stop-color='#f4d35e'/>"
      "</linearGradient><filter id='f'><feGaussianBlur stdDeviation='2'/></filter>"
      "<mask id='m'><circle cx='50' cy='35' r='30' fill='#fff'/></mask>"
      "<g id='leaf'><path d='M0 0C10 3 12 12 4 20Z'/></g></defs>"
      "<rect x='5' y='5' width='90' height='60' fill='url(#g)'/>"
      "<use xlink:href='#leaf' x='20' y='20' fill='#fff'/>"
      "<path d='M3 8L97 61.3' stroke='#000' stroke-width='.1'/>"
      "<circle cx='61' cy='33' r='17.7' fill='#a33' fill-opacity='.6'/>";
  if (layers) {
    text +=
        "<g opacity='.5'><circle cx='30' cy='33' r='17.7'/><circle cx='40' cy='33' r='17.7'/></g>"
        "<circle cx='70' cy='50' r='9' fill='#0a0' filter='url(#f)'/>"
        "<rect width='100' height='70' fill='#00f' fill-opacity='.3' mask='url(#m)'/>";
  }
  return text + "</svg>";
}

}  // namespace

// Source  CSS Values and Units 4, section 6.2: 96 px, 25.4 mm, 72 pt, 6 pc to the inch.
TEST_CASE("SVG size: units, viewBox and percentages", "[artwork][closed-form]") {
  struct Case {
    const char* attributes;
    double width_mm, height_mm;
  };
  const Case cases[] = {
      {"width='100mm' height='50mm'", 100, 50},
      {"width='10cm' height='2in'", 100, 50.8},
      {"width='96' height='48px'", 25.4, 12.7},
      {"width='72pt' height='6pc'", 25.4, 25.4},
      {"viewBox='-5 3 192 96'", 50.8, 25.4},
      {"width='100%' height='100%' viewBox='0 0 96 48'", 25.4, 12.7},
      {"width='30mm' viewBox='0 0 300 100'", 30, 10},
      {"height='30mm' viewBox='0 0 300 100'", 90, 30},
  };
  for (const Case& one : cases) {
    CAPTURE(one.attributes);
    const auto art = Sized(one.attributes);
    CHECK(art->width_mm().value == Approx(one.width_mm).epsilon(1e-9));
    CHECK(art->height_mm().value == Approx(one.height_mm).epsilon(1e-9));
    CHECK(art->aspect() == Approx(one.width_mm / one.height_mm).epsilon(1e-9));
    CHECK(art->is_vector());
    CHECK(art->colour_description() == "sRGB");
  }
}

TEST_CASE("SVG placement: the viewport fills the raster", "[artwork][closed-form]") {
  // A square viewBox in a wide viewport stands in its middle (preserveAspectRatio xMidYMid meet).
  const auto wide = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='200' height='100' viewBox='0 0 10 10'>"
      "<rect width='10' height='10'/></svg>");
  auto raster = wide->Rasterise({201, 100});  // half a px off in aspect: stretched, not moved
  REQUIRE(raster.ok());
  CHECK(raster->row(3, 50)[49] == 0);
  CHECK(raster->row(3, 50)[50] == Approx(0.75).margin(0.01));
  CHECK(raster->row(3, 50)[51] == 1);
  CHECK(raster->row(3, 0)[100] == 1);
  CHECK(raster->row(3, 99)[100] == 1);
  CHECK(raster->row(3, 50)[149] == 1);
  CHECK(raster->row(3, 50)[150] == Approx(0.75).margin(0.01));
  // Without a viewBox user units are CSS px of the natural size.
  const auto plain = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='1in' height='1in'>"
      "<rect width='48' height='96'/></svg>");
  raster = plain->Rasterise({100, 100});
  REQUIRE(raster.ok());
  CHECK(raster->row(3, 99)[49] == 1);
  CHECK(raster->row(3, 99)[50] == 0);
}

TEST_CASE("SVG bands: the same bits for any band and any number of threads",
          "[artwork][invariant]") {
  for (const bool layers : {false, true}) {
    CAPTURE(layers);
    const auto art = SvgFrom(Busy(layers));
    const SizePx size{200, 140};
    const auto whole = RasteriseSvg(*art, size, {2, 140, true});
    REQUIRE(whole.ok());
    for (const int64_t rows : {1, 7, 64}) {
      if (layers && rows == 1) continue;
      CAPTURE(rows);
      for (const int threads : {1, 2, 3}) {
        const ThreadLimit limit(threads);
        const auto banded = RasteriseSvg(*art, size, {2, rows, true});
        REQUIRE(banded.ok());
        CHECK(LargestDifference(*whole, *banded) == 0);
      }
    }
  }
}

// Rotated, a gradient's bits depend on where its surface begins.
TEST_CASE("SVG bands: a turned gradient has the same bits for any number of threads",
          "[artwork][invariant]") {
  std::string text = Busy(false);
  text.insert(text.find("</defs>") + 7, "<g transform='rotate(13 50 35)'>");
  text.insert(text.find("</svg>"), "</g>");
  const auto art = SvgFrom(text);
  const auto drawn_by = [&art](int threads) {
    const ThreadLimit limit(threads);
    auto raster = art->Rasterise({700, 490});
    REQUIRE(raster.ok());
    return std::move(*raster);
  };
  const auto one = drawn_by(1);
  CHECK(LargestDifference(one, drawn_by(2)) == 0);
  CHECK(LargestDifference(one, drawn_by(3)) == 0);
}

TEST_CASE("SVG recording: played back, a drawing has the bits of one drawn directly",
          "[artwork][twin]") {
  for (const std::string& text :
       {Busy(false), test::ReadText(test::SourcePath("assets-open/quillwort/carton_top.svg")),
        test::ReadText(test::SourcePath("assets-open/quillwort/mark.svg"))}) {
    const auto art = SvgFrom(text);
    const SizePx size{300, 200};
    const auto played = RasteriseSvg(*art, size, {3, 64, true, true});
    const auto direct = RasteriseSvg(*art, size, {3, 64, true, false});
    REQUIRE((played.ok() && direct.ok()));
    CHECK(LargestDifference(*played, *direct) == 0);
  }
}

TEST_CASE("SVG parts: the same bits as in the whole", "[artwork][invariant]") {
  std::string clipped = Busy(false);
  clipped.insert(clipped.find("</defs>"),
                 "<clipPath id='c'><circle cx='50' cy='35' r='20'/></clipPath><radialGradient "
                 "id='r'><stop offset='0' stop-color='#fff'/><stop offset='1' stop-color='#a33' "
                 "stop-opacity='0'/></radialGradient>");
  clipped.insert(clipped.find("</svg>"),
                 "<g clip-path='url(#c)'><path d='M0 0H100V70Z' fill='#124'/><circle cx='55' "
                 "cy='40' r='18' fill='url(#r)'/></g>");
  const std::string lettered =
      "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='70mm' viewBox='0 0 100 70'>"
      "<text x='5' y='40' font-size='17' fill='#c30' stroke='#013' "
      "stroke-width='.4'>Quillwort</text></svg>";
  for (const std::string& text : {Busy(false), Busy(true), clipped, lettered}) {
    const auto art = SvgFrom(text);
    // One size drawn four times larger, one three times; layers are slow.
    for (const SizePx size : {SizePx{201, 141}, SizePx{1250, 875}}) {
      if (size.width > 1000 && text == Busy(true)) continue;
      const auto whole = art->Rasterise(size);
      REQUIRE(whole.ok());
      const int64_t w = size.width, h = size.height;
      for (const RectPx part : {RectPx{0, 0, 37, 29}, RectPx{w / 3, h / 4, w / 2, h / 2},
                                RectPx{w / 2, h - 31, w, h}, RectPx{w / 2, h / 2, w / 2 + 1, h}}) {
        CAPTURE(text, w, part.x0, part.y0);
        const auto alone = art->RasterisePart(size, part);
        REQUIRE(alone.ok());
        Image<LinearPremul> cut({part.width(), part.height()});
        cut.Put(0, whole->view().Part(part));
        CHECK(LargestDifference(cut, *alone) == 0);
      }
    }
  }
}

// A raster far larger than cairo could draw, of which only a part is: an upright edge lies where it belongs.
TEST_CASE("SVG parts: of a raster 300 000 px wide, an edge lies in its place",
          "[artwork][closed-form]") {
  const auto art = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='1000' height='10'>"
      "<rect width='1000' height='10'/><rect x='750.00390625' width='1' height='10' "
      "fill='#fff'/></svg>");
  const auto raster = art->RasterisePart({300'000, 3000}, {224'990, 1500, 225'020, 1501});
  REQUIRE(raster.ok());
  double lit = 0;
  for (int64_t x = 0; x < 30; ++x) lit += double{raster->row(1, 0)[x]};
  CHECK(lit == Approx(225'020 - 750.00390625 * 300).margin(0.003));
  // Wider than is drawn at once: tile by tile.
  const auto wide = art->RasterisePart({300'000, 3000}, {200'000, 7, 232'000, 8});
  REQUIRE(wide.ok());
  lit = 0;
  for (int64_t x = 0; x < 32'000; ++x) lit += double{wide->row(1, 0)[x]};
  CHECK(lit == Approx(300).margin(0.006));
}

// Reference  rsvg-convert of librsvg 2.54 draws the same file 8 times larger; ImageMagick turns it
//            to linear light (-colorspace RGB), and averages (-scale 12.5%).
// Limit      99 % of pixels within 0.02, all within 0.2: the reference mixes its edges in codes, at
//            a drawn pixel an eighth as wide (0.29 / 8 of a pixel each side, two edges at the
//            hairline).
TEST_CASE("SVG against rsvg-convert and ImageMagick", "[artwork][reference]") {
  const test::TempFolder folder;
  test::WriteText(folder / "art.svg", Busy(true));
  const auto run = test::Run(fmt::format(
      "cd '{}' && rsvg-convert -w 1600 -h 1120 -b white art.svg -o big.png && "
      "convert big.png -alpha off -depth 16 -colorspace RGB -scale 12.5% -set colorspace sRGB "
      "-depth 32 -define quantum:format=floating-point rgb:out.raw",
      folder.path()));
  INFO(run.err);
  REQUIRE(run.status == 0);
  const std::string raw = test::ReadText(folder / "out.raw");
  REQUIRE(raw.size() == 200 * 140 * 3 * 4);
  std::string text = Busy(true);
  text.insert(text.find("<rect"), "<rect width='100' height='70' fill='#fff'/>");
  const auto art = SvgFrom(text);
  const auto raster = art->Rasterise({200, 140});
  REQUIRE(raster.ok());
  int far = 0;
  double worst = 0;
  for (int64_t i = 0; i < 200 * 140; ++i) {
    double difference = 0;
    for (int plane = 0; plane < 3; ++plane) {
      float value;
      std::memcpy(&value, raw.data() + (i * 3 + plane) * 4, 4);
      difference = std::max(
          difference, std::abs(static_cast<double>(value) - raster->row(plane, i / 200)[i % 200]));
    }
    far += difference > 0.02;
    worst = std::max(worst, difference);
  }
  CAPTURE(far, worst);
  CHECK(far < 280);
  CHECK(worst < 0.2);
}

TEST_CASE("SVG errors: size and form", "[artwork][bad-input]") {
  const std::string start = "scene.toml:4:11: error: placement.artwork = \"art.svg\": ";
  const std::string name = "<svg xmlns='http://www.w3.org/2000/svg' ";
  CHECK(Refusal(name + "width='0' height='10'/>") ==
        start + "has no size: expected width and height above 0, or a viewBox");
  CHECK(Refusal(name + "/>") ==
        start + "has no size: expected width and height above 0, or a viewBox");
  CHECK(Refusal(name + "width='100000' height='1'/>") ==
        start + "is 100000 times as wide as high, expected at most 10000 to 1 either way");
  CHECK(
      Refusal(name + "width='10' height='10'><g></svg>").starts_with(start + "cannot be drawn: "));
  CHECK(Refusal("") == start + "is empty");
  CHECK(Refusal("\x1f\x8b\x08 packed") ==
        start + "is packed with gzip; expected plain SVG: unpack it first");
  CHECK(Refusal(std::string("\xff\xfe<\0s\0", 6)) ==
        start + "is written in UTF-16; expected SVG in UTF-8");
  CHECK(Refusal("<!doctype html><html><body/></html>") ==
        start +
            "expected SVG, PDF, PNG, JPEG, TIFF or WebP; its first bytes are \"<!doctype html><\"");
  const auto art = Sized("width='10' height='10'");
  CHECK_FALSE(art->Rasterise({0, 5}).ok());
  CHECK_FALSE(art->Rasterise({40'000, 5}).ok());
}

TEST_CASE("SVG: prolog, comment, document type and byte-order mark before the drawing",
          "[artwork][closed-form]") {
  const auto art = SvgFrom(
      "\xEF\xBB\xBF<?xml version='1.0' encoding='UTF-8'?>\n<!-- made <svg> by hand -->\n"
      "<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' "
      "'http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd' [<!ENTITY ns "
      "'http://www.w3.org/2000/svg'>]>\n"
      "<s:svg xmlns:s='&ns;' width='4' height='4'><s:rect width='4' height='4' "
      "fill='#fff'/></s:svg>");
  const auto raster = art->Rasterise({4, 4});
  REQUIRE(raster.ok());
  CHECK(raster->row(1, 2)[2] == 1);
}

TEST_CASE("SVG notes: live text is mentioned, outlines are not", "[artwork][invariant]") {
  CHECK(Sized("width='10' height='10'")->notes().empty());
  const auto art = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><text "
      "y='8'>Quillwort</text></svg>");
  REQUIRE(art->notes().size() == 1);
  CHECK(art->notes()[0].find("live text") != std::string::npos);
}

}  // namespace wheatpaste
