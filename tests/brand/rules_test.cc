// The rules on drawings of known sizes and colours.
#include <catch2/catch.hpp>

#include "brand/colour_rules.h"
#include "brand/drawing_support.h"
#include "brand/place_rules.h"
#include "brand/size_rules.h"
#include "composite/view_distance.h"
#include "ink/printed_colour.h"

namespace wheatpaste {
namespace {

using namespace test;

const Ink kFilters{.name = "transparent"};
const Ink kCovers{.name = "screen ink", .opacity = 1, .white = 0.85, .finest = {0.35, 0.5, 2.0}};

// Closed form: a black of #767676 printed by a filtering ink on a perfect white keeps its screen luminance, so the
// published ratio of WCAG's worked value comes back; on paper of 0.8 both lose.
TEST_CASE("Contrast rule: as printed", "[brand][published]") {
  const FlatDrawing drawing =
      Drawn(20, 20, "<rect x=\"5\" y=\"5\" width=\"10\" height=\"10\" fill=\"#767676\"/>", 10,
            {{0x76, 0x76, 0x76}});
  const auto check = [&](double paper) {
    Substrate substrate;
    substrate.reflectance = {paper, paper, paper};
    const auto printed = PrintedParts(drawing, kFilters, substrate);
    const Findings found = CheckContrast(drawing, {}, true, printed);
    REQUIRE(found.size() == 1);
    return found[0];
  };
  const Finding white = check(1);
  CHECK(*white.measured == Approx(4.542225).margin(1e-4));
  CHECK(white.verdict == Finding::Verdict::kKept);
  CHECK(white.subject == "#767676 on the bare substrate");
  const double ink = LinearFromSrgb(0x76 / 255.0);
  CHECK(*check(0.8).measured == Approx((0.8 + 0.05) / (0.8 * ink + 0.05)).epsilon(1e-5));
}

// Lettering below 18 pt has to reach 4.5, a mark 3: orange of 4.1 on dark green.
TEST_CASE("Contrast rule: lettering is judged by its size", "[brand][invariant]") {
  const FlatDrawing drawing =
      Drawn(20, 20,
            "<rect width=\"20\" height=\"20\" fill=\"#0f4a3f\"/>"
            "<rect x=\"5\" y=\"5\" width=\"4\" height=\"4\" fill=\"#e3a02c\"/>",
            10, {kOchre});
  const auto printed = PrintedParts(drawing, kFilters, Substrate());
  CHECK(CheckContrast(drawing, {}, true, printed)[0].verdict == Finding::Verdict::kKept);
  for (const auto& [height, kept] : {std::pair(2.0, false), std::pair(8.0, true)}) {
    const LetterRow row{.part = 1, .beside = 0, .height_mm = height, .letters = 5, .place = {}};
    const Finding found = CheckContrast(drawing, {row}, true, printed)[0];
    CHECK(*found.expected == (kept ? 3 : 4.5));
    CHECK((found.verdict == Finding::Verdict::kKept) == kept);
  }
}

TEST_CASE("Colours that hardly differ as printed count as one", "[brand][invariant]") {
  const FlatDrawing drawing =
      Drawn(20, 20,
            "<rect width=\"20\" height=\"20\" fill=\"#0f4a3f\"/>"
            "<rect x=\"2\" y=\"2\" width=\"9\" height=\"9\" fill=\"#1b5c4e\"/>"
            "<rect x=\"12\" y=\"12\" width=\"4\" height=\"4\" fill=\"#f6edd8\"/>",
            10, {{0x1b, 0x5c, 0x4e}, kCream});
  const auto printed = PrintedParts(drawing, kFilters, Substrate());
  const auto joined = JoinedParts(drawing, printed);
  CHECK(joined == std::vector<uint8_t>{0, 0, 2, 3});
  const FlatDrawing one = JoinParts(drawing, joined);
  CHECK(one.pixels_of == std::vector<int64_t>{38400, 0, 1600, 0});
  CHECK(FindShapes(one).shapes.size() == 2);
}

// Red and green of one lightness, told apart by most; black and white by everybody.
TEST_CASE("Colour vision rule: pairs that merge", "[brand][invariant]") {
  const auto named = [](const char* name, const Srgb8& colour) {
    return NamedColour{name, LinearFromSrgb(colour)};
  };
  const NamedColour black = named("black", {0, 0, 0}), white = named("white", {255, 255, 255});
  const NamedColour moss = named("moss", {0x7a, 0x8b, 0x32}),
                    rust = named("rust", {0xa9, 0x7c, 0x35});
  CHECK(CheckColourVision({black, white}).verdict == Finding::Verdict::kKept);
  const Finding merged = CheckColourVision({black, white, moss, rust});
  INFO(merged.words);
  CHECK(merged.verdict == Finding::Verdict::kBroken);
  CHECK(merged.subject == "moss and rust");
  CHECK(CheckColourVision({black}).verdict == Finding::Verdict::kNotMeasured);
}

// Source  methods for large print: 1 minute of arc at 1 m is 87.3 ppi, at 10 m 8.7 (W01), to 0.05.
TEST_CASE("Resolution: 1 minute of arc", "[brand][published]") {
  CHECK(ResolvedFrom(1).value == Approx(87.3).margin(0.05));
  CHECK(ResolvedFrom(10).value == Approx(8.7).margin(0.05));
  // Business card: close; a diagonal of 2 m is seen from 3 m (29 ppi in the same table).
  CHECK(ExpectedPpi({85, 55}) == 300);
  CHECK(ExpectedPpi({1200, 1600}) == Approx(29.1).margin(0.05));
}

// Source  an inch of height for 30 ft at most and 10 ft with ease: 100 ft ask for 3.3 and 10 in.
TEST_CASE("Reading distance: from the height of letters", "[brand][published]") {
  const FlatDrawing drawing =
      Drawn(10, 10, "<rect width=\"5\" height=\"5\" fill=\"#0f4a3f\"/>", 10);
  const LetterRow row{
      .part = 0, .beside = 1, .height_mm = 10 * 25.4 / 3, .letters = 6, .place = {}};
  const Findings found = CheckLettering(drawing, {row}, kFilters);
  REQUIRE(found.size() == 2);
  CHECK(found[0].verdict == Finding::Verdict::kKept);
  CHECK(*found[1].measured == Approx(100 * 0.3048).epsilon(1e-9));
  CHECK(found[1].verdict == Finding::Verdict::kNotJudged);
  CHECK(found[1].words ==
        "the smallest lettering, 85 mm high, reads from 30.5 m at most, with ease from 10.2 m");
}

// A line lighter than its ground is left free by ink that filters, and a line of ink where ink covers.
TEST_CASE("Line rule: what counts as a gap, and the ink's limits", "[brand][closed-form]") {
  const FlatDrawing drawing =
      Drawn(12, 12,
            "<rect width=\"12\" height=\"12\" fill=\"#0f4a3f\"/>"
            "<path d=\"M2 6.03H10\" stroke=\"#f6edd8\" stroke-width=\"0.15\"/>",
            40, {kCream});
  const auto lines = ThinnestLines(drawing, FindShapes(drawing));
  const auto of = [&](const Ink& ink) {
    return CheckLines(drawing, lines, PrintedParts(drawing, ink, Substrate()), {12, 12}, ink);
  };
  const Findings filtering = of(kFilters), covering = of(kCovers);
  CHECK(filtering[0].verdict == Finding::Verdict::kNotMeasured);
  CHECK(*filtering[1].measured == Approx(0.15).margin(0.02));
  CHECK(filtering[1].expected == 0.2);
  CHECK(filtering[1].verdict == Finding::Verdict::kBroken);
  CHECK(*covering[0].measured == Approx(0.15).margin(0.02));
  CHECK(covering[0].expected == 0.35);
}

}  // namespace
}  // namespace wheatpaste
