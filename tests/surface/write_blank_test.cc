#include "surface/write_blank.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstdlib>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "surface/frustum_chart.h"
#include "surface/mark_rims.h"

namespace wheatpaste {
namespace {

RimMarks Rims(double top, double bottom, double height) {
  RimMarks rims;
  rims.diameter_top = top;
  rims.diameter_bottom = bottom;
  rims.height = height;
  return rims;
}

// The text of an attribute.
std::string Attribute(const std::string& svg, const std::string& name) {
  const size_t at = svg.find(" " + name + "=\"");
  REQUIRE(at != std::string::npos);
  const size_t from = at + name.size() + 3;
  return svg.substr(from, svg.find('"', from) - from);
}

std::vector<double> Numbers(const std::string& text) {
  std::istringstream words(text);
  std::vector<double> numbers;
  for (std::string word; words >> word;) {
    char* end = nullptr;
    const double value = std::strtod(word.c_str(), &end);
    if (end != word.c_str()) numbers.push_back(value);
  }
  return numbers;
}

double Distance(double x0, double y0, double x1, double y1) { return std::hypot(x1 - x0, y1 - y0); }

}  // namespace

// Source  reference checks K03, K04.
TEST_CASE("Blank: a paper cup's has the chords, height and radii of its net",
          "[surface][published]") {
  for (const bool upright : {true, false}) {
    const std::string svg =
        upright ? BlankSvg(Rims(80, 60, 95), 0, "Cup") : BlankSvg(Rims(60, 80, 95), 0, "Shade");
    CHECK(std::stod(Attribute(svg, "width")) == Approx(246.821253).margin(1e-5));
    CHECK(std::stod(Attribute(svg, "height")) == Approx(110.883641).margin(1e-5));
    CHECK(Attribute(svg, "width").ends_with("mm"));
    const auto view = Numbers(Attribute(svg, "viewBox"));
    REQUIRE(view.size() == 4);
    CHECK(view[2] == std::stod(Attribute(svg, "width")));
    CHECK(view[3] == std::stod(Attribute(svg, "height")));
    // M x y A r r 0 large sweep x y L x y A r r 0 large sweep x y Z
    const std::string path = Attribute(svg, "d");
    CHECK(path.find('M') == path.rfind('M'));
    CHECK(path.back() == 'Z');
    const auto n = Numbers(path);
    REQUIRE(n.size() == 18);
    CHECK(n[2] == Approx(382.099463).margin(1e-5));
    CHECK(n[11] == Approx(286.574598).margin(1e-5));
    CHECK(Distance(n[0], n[1], n[7], n[8]) == Approx(246.821253).margin(1e-5));
    CHECK(Distance(n[9], n[10], n[16], n[17]) == Approx(185.115940).margin(1e-5));
    CHECK(Distance(n[7], n[8], n[9], n[10]) == Approx(95.524866).margin(1e-5));
    // Outer arc over the top of a cup: left to right, clockwise.
    CHECK(n[0] < 0);
    CHECK(n[7] > 0);
    CHECK(n[6] == (upright ? 1 : 0));
    CHECK(n[5] == 0);
  }
}

TEST_CASE("Blank: its page is the print area, so that stretched artwork lands on it",
          "[surface][invariant]") {
  for (const auto& [top, bottom, height] : {std::array{80.0, 56.0, 95.0},
                                            {56.0, 80.0, 95.0},
                                            {80.0, 80.0, 96.0},
                                            {300.0, 20.0, 40.0}}) {
    const RimMarks rims = Rims(top, bottom, height);
    const FrustumSize size = FrustumSizeOf(rims);
    const PrintArea area =
        AreaOf(size, PatternOf(size, top == bottom ? Shape::kCylinder : Shape::kCone));
    const std::string svg = BlankSvg(rims, 0, "");
    const auto view = Numbers(Attribute(svg, "viewBox"));
    CHECK(view[0] == Approx(area.low.x).margin(1e-6));
    CHECK(view[1] == Approx(area.low.y).margin(1e-6));
    CHECK(view[2] == Approx(area.high.x - area.low.x).margin(1e-6));
    CHECK(view[3] == Approx(area.high.y - area.low.y).margin(1e-6));
    CHECK(svg.find("with fit = \"stretch\"") != std::string::npos);
  }
}

TEST_CASE("Blank: a cylinder's is its developed rectangle", "[surface][closed-form]") {
  const std::string svg = BlankSvg(Rims(80, 80, 96), 0, "Can");
  CHECK(std::stod(Attribute(svg, "width")) == Approx(80 * std::numbers::pi).margin(1e-6));
  CHECK(std::stod(Attribute(svg, "height")) == Approx(96).margin(1e-6));
  CHECK(Numbers(Attribute(svg, "d")).size() == 5);
  CHECK(svg.find("their origin lies 0.000000 mm from the left and 0.000000 mm from the top") !=
        std::string::npos);
}

TEST_CASE("Blank: bleed moves every side outwards by as much", "[surface][closed-form]") {
  const auto n = Numbers(Attribute(BlankSvg(Rims(80, 60, 95), 3, "Cup"), "d"));
  const auto bare = Numbers(Attribute(BlankSvg(Rims(80, 60, 95), 0, "Cup"), "d"));
  REQUIRE(n.size() == 18);
  CHECK(n[2] == Approx(bare[2] + 3).margin(1e-5));
  CHECK(n[11] == Approx(bare[11] - 3).margin(1e-5));
  // The right side: both ends lie 3 mm from the bare side's line.
  const double x = bare[9] - bare[7], y = bare[10] - bare[8], length = std::hypot(x, y);
  for (const size_t end : {size_t{7}, size_t{9}}) {
    const double off = (x * (n[end + 1] - bare[8]) - y * (n[end] - bare[7])) / length;
    CHECK(std::abs(off) == Approx(3).margin(1e-5));
    CHECK(n[end] > bare[end] - 3);
  }
  const std::string can = BlankSvg(Rims(80, 80, 96), 3, "Can");
  CHECK(std::stod(Attribute(can, "height")) == Approx(102).margin(1e-6));
  CHECK(can.find("at = [125.663706, 48.000000]") != std::string::npos);
  // Where the sector leaves no room at its apex, what fits.
  const auto tight = Numbers(Attribute(BlankSvg(Rims(300, 4, 30), 10, ""), "d"));
  REQUIRE(tight.size() == 18);
  for (const double number : tight) CHECK(std::isfinite(number));
  CHECK(tight[5] == 1);  // more than half a turn
  CHECK(tight[14] == 1);
}

TEST_CASE("Blank: a hostile title stays text", "[surface][bad-input]") {
  const std::string svg = BlankSvg(Rims(80, 60, 95), 0, "</title><script>\x01 & \"");
  CHECK(svg.find("<title>&lt;/title&gt;&lt;script&gt;  &amp; \"</title>") != std::string::npos);
  CHECK(svg.find("<script") == std::string::npos);
}

}  // namespace wheatpaste
