#include "brand/line_widths.h"

#include <catch2/catch.hpp>

#include <cmath>

#include "brand/drawing_support.h"

namespace wheatpaste {
namespace {

using namespace test;

// mm; of the first part, or of the clear.
double Thinnest(const FlatDrawing& drawing, bool gap = false) {
  REQUIRE(drawing.is_flat());
  const auto lines = ThinnestLines(drawing, FindShapes(drawing));
  const auto& line = gap ? lines.back() : lines.front();
  return line ? line->width_mm : -1;
}

// Closed form: strokes of a stated width, 8 mm long, turned to any angle.
// Limit   0.02 mm at 16 px per mm is a third of a px; 0.03 mm at 8 is a quarter.
TEST_CASE("Lines: strokes of known widths at angles", "[brand][closed-form][numbers]") {
  for (const double density : {16.0, 8.0}) {
    for (const double width : {0.1, 0.25, 0.5, 1.0}) {
      for (const double angle : {0.0, 7.0, 30.0, 45.0}) {
        INFO(width << " mm at " << angle << " degrees, " << density << " px per mm");
        const FlatDrawing drawing =
            Drawn(10, 10,
                  fmt::format("<path d=\"M1 5.03H9\" transform=\"rotate({} 5 5)\" "
                              "stroke=\"#0f4a3f\" stroke-width=\"{}\"/>",
                              angle, width),
                  density);
        const double measured = Thinnest(drawing);
        CHECK(measured == Approx(width).margin(density == 16 ? 0.02 : 0.03));
      }
    }
  }
}

// Closed form: rings of a stated stroke; two bars with a stated gap on a clear ground, and cut out of an ink's ground.
TEST_CASE("Lines: rings and gaps of known widths", "[brand][closed-form]") {
  for (const double width : {0.15, 0.4}) {
    INFO(width << " mm");
    CHECK(Thinnest(Drawn(12, 12,
                         fmt::format("<circle cx=\"6\" cy=\"6.1\" r=\"4\" fill=\"none\" "
                                     "stroke=\"#0f4a3f\" stroke-width=\"{}\"/>",
                                     width),
                         20)) == Approx(width).margin(0.02));
    const std::string bars = fmt::format(
        "<g transform=\"rotate(20 8 8)\"><path d=\"M3 4H{}V12H3ZM{} 4H13V12H{}Z\" "
        "fill=\"#0f4a3f\"/></g>",
        8 - width / 2, 8 + width / 2, 8 + width / 2);
    const FlatDrawing clear = Drawn(16, 16, bars, 20);
    CHECK(Thinnest(clear, true) == Approx(width).margin(0.02));
    CHECK(Thinnest(clear) == -1);  // plates: hardly longer than wide
    const FlatDrawing cream =
        Drawn(16, 16, "<rect width=\"16\" height=\"16\" fill=\"#f6edd8\"/>" + bars, 20, {kCream});
    const auto lines = ThinnestLines(cream, FindShapes(cream));
    REQUIRE(lines[1].has_value());
    CHECK(lines[1]->width_mm == Approx(width).margin(0.02));
    CHECK(lines[1]->beside == 0);
    CHECK(std::abs(lines[1]->place.x - 0.5) < 0.1);
  }
}

// A plate whose thin stroke of 0.3 mm is 6 mm long, beside wedges that come to a point and dots: only the stroke counts.
TEST_CASE("Lines: points, corners and dots are none", "[brand][closed-form]") {
  const std::string wedge = "<path d=\"M2 2L14 5L2 8Z\" fill=\"#0f4a3f\"/>";
  const std::string dots =
      "<circle cx=\"4\" cy=\"12\" r=\"0.2\" fill=\"#0f4a3f\"/>"
      "<rect x=\"6\" y=\"11\" width=\"2\" height=\"2\" fill=\"#0f4a3f\"/>";
  CHECK(Thinnest(Drawn(16, 16, wedge + dots, 20)) == -1);
  const std::string stroke =
      "<path d=\"M9 14H15\" stroke=\"#0f4a3f\" stroke-width=\"0.3\"/>"
      "<rect x=\"9\" y=\"10\" width=\"2\" height=\"4\" fill=\"#0f4a3f\"/>";
  CHECK(Thinnest(Drawn(16, 16, wedge + dots + stroke, 20)) == Approx(0.3).margin(0.02));
}

// An edge between two inks mixes to a third one's colour: no line of the third comes of it.
TEST_CASE("Lines: edges between inks make no lines", "[brand][invariant]") {
  const FlatDrawing drawing =
      Drawn(16, 16,
            "<rect width=\"16\" height=\"16\" fill=\"#000\"/><circle cx=\"8\" cy=\"8\" r=\"5\" "
            "fill=\"#fff\"/><rect x=\"1\" y=\"1\" width=\"2\" height=\"2\" fill=\"#808080\"/>",
            20, {{0, 0, 0}, {255, 255, 255}, {128, 128, 128}});
  REQUIRE(drawing.is_flat());
  const auto lines = ThinnestLines(drawing, FindShapes(drawing));
  const auto gray = lines[3];
  CHECK((!gray || gray->width_mm > 1.5));
  CHECK(drawing.pixels_of[3] == Approx(1600).margin(2));
}

// Pictures and gradients have no parts to be measured.
TEST_CASE("Flat drawing: a gradient is not flat", "[brand][invariant]") {
  const FlatDrawing drawing = Drawn(
      8, 8,
      "<linearGradient id=\"g\"><stop stop-color=\"#0f4a3f\"/><stop offset=\"1\" "
      "stop-color=\"#e3a02c\"/></linearGradient><rect width=\"8\" height=\"8\" fill=\"url(#g)\"/>",
      20, {kOchre});
  // A mixture of two flat colours, like an edge; but neither of them is near. It counts as one part.
  CHECK_FALSE(drawing.is_flat());
  CHECK(drawing.pixels_of == std::vector<int64_t>{160 * 160, 0});
}

}  // namespace
}  // namespace wheatpaste
