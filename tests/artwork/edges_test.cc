// How true edges, thin lines, areas and flat colours are in linear light. White on black is the
// worst case: mixed in codes, half covered gives 0.21 of the light instead of 0.50.
//
// Source  closed form: the light of a pixel is the share of it that is covered.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "artwork/svg_artwork.h"
#include "artwork_support.h"
#include "colour/srgb.h"
#include "support.h"

namespace wheatpaste {
namespace {

using test::SvgFrom;

constexpr int kPositions = 20;

std::string OnBlack(const std::string& shapes) {
  return fmt::format(
      "<svg xmlns='http://www.w3.org/2000/svg' width='64' height='64'>"
      "<rect width='64' height='64'/>{}</svg>",
      shapes);
}

double SumGreen(const Image<LinearPremul>& raster, int64_t y0, int64_t y1) {
  double sum = 0;
  for (int64_t y = y0; y < y1; ++y) {
    for (int64_t x = 0; x < raster.width(); ++x) sum += raster.row(1, y)[x];
  }
  return sum;
}

// Largest displacement, in asked px, of an upright edge at kPositions places within a pixel.
double EdgeError(const DrawingPlan& plan) {
  double worst = 0;
  for (int i = 0; i < kPositions; ++i) {
    const double at = 20 + i / static_cast<double>(kPositions);
    const auto art =
        SvgFrom(OnBlack(fmt::format("<rect x='{}' width='100' height='64' fill='#fff'/>", at)));
    const auto raster = RasteriseSvg(*art, {64, 64}, plan);
    REQUIRE(raster.ok());
    worst = std::max(worst, std::abs(SumGreen(*raster, 30, 31) - (64 - at)));
  }
  return worst;
}

// Largest error, in asked px, of the width of a line of `width` px, at `turn` degrees.
double LineError(const DrawingPlan& plan, double width, double turn, const std::string& ground,
                 const std::string& line) {
  double worst = 0;
  for (int i = 0; i < kPositions; ++i) {
    const double at = i / static_cast<double>(kPositions);
    const auto art = SvgFrom(OnBlack(
        fmt::format("<rect width='64' height='64' fill='{}'/><path d='M32 -99V199' stroke='{}' "
                    "stroke-width='{}' transform='translate({} 0) rotate({} 32 32)'/>",
                    ground, line, width, at, turn)));
    const auto raster = RasteriseSvg(*art, {64, 64}, plan);
    REQUIRE(raster.ok());
    const double rows = 16;
    const double lit = SumGreen(*raster, 24, 40) / rows;
    const double across =
        (ground == "#000" ? lit : 64 - lit) * std::cos(turn * std::numbers::pi / 180);
    worst = std::max(worst, std::abs(across - width));
  }
  return worst;
}

}  // namespace

// Limits  the table in svg_artwork.h, one unit of its last digit added; cairo's own coverage has
// steps of 1/15.
TEST_CASE("Edges: an upright edge lies within 0.003 px of its place", "[artwork][closed-form]") {
  CHECK(EdgeError({2, 64, true}) < 0.003);
  CHECK(EdgeError({4, 64, true}) < 0.003);
  // Without the model the same edge is off by a seventh of a pixel: the bound can fail.
  CHECK(EdgeError({2, 64, false}) > 0.1);
}

TEST_CASE("Lines: 1 px and, at factor 4, half a px keep their width", "[artwork][closed-form]") {
  for (const double turn : {0.0, 7.0, 45.0}) {
    for (const bool light : {false, true}) {
      CAPTURE(turn, light);
      const std::string ground = light ? "#fff" : "#000";
      const std::string line = light ? "#000" : "#fff";
      CHECK(LineError({2, 64, true}, 1.0, turn, ground, line) < 0.012);
      CHECK(LineError({4, 64, true}, 0.5, turn, ground, line) < 0.005);
    }
  }
}

// Source  coverage in 16 x 16 samples: the same file drawn 16 times larger each way, where a code of
//         white on black is coverage itself.
// Limit   the table in svg_artwork.h for 4 pt at 300 px an inch, doubled: other letters.
TEST_CASE("Lettering: outlined 4 pt keeps its ink", "[artwork][closed-form]") {
  std::string text = test::ReadText(test::SourcePath("assets-open/quillwort/lockup.svg"));
  for (const char* colour : {"#0f4a3f", "#e3a02c", "#13211f"}) {
    for (size_t at = text.find(colour); at != std::string::npos; at = text.find(colour, at)) {
      text.replace(at, 7, "#ffffff");
    }
  }
  text.insert(text.find("<path"), "<rect width='468.632' height='118'/>");
  const auto art = SvgFrom(text);
  const SizePx size{553, 139};  // its small line, 14 mm drawn, is 4 pt where this is 300 px an inch
  const auto raster = art->Rasterise(size);
  const auto samples = RasteriseSvg(*art, {size.width * 16, size.height * 16}, {1, 64, false});
  REQUIRE((raster.ok() && samples.ok()));
  double ink = 0, true_ink = 0, squares = 0;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      double covered = 0;
      for (int64_t i = 0; i < 256; ++i) {
        covered += SrgbFromLinear(samples->row(1, y * 16 + i / 16)[x * 16 + i % 16]) / 256;
      }
      const double light = raster->row(1, y)[x];
      ink += light;
      true_ink += covered;
      squares += (light - covered) * (light - covered);
    }
  }
  CHECK(true_ink > 0.05 * static_cast<double>(size.area()));
  CHECK(ink / true_ink == Approx(1).margin(0.004));
  CHECK(std::sqrt(squares / static_cast<double>(size.area())) < 0.004);
}

// Limit  cairo flattens the circle to within 0.1 drawn px, so the radius is short by at most 0.05
//        px (factor 4: 0.025), on average by two thirds of that; 0.03 of the radius' worth of area
//        allowed.
TEST_CASE("Circle: its light is pi r^2", "[artwork][closed-form]") {
  const double radius = 25;
  const auto art = SvgFrom(OnBlack("<circle cx='31.3' cy='32.2' r='25' fill='#fff'/>"));
  const auto raster = art->Rasterise({64, 64});
  REQUIRE(raster.ok());
  const double area = SumGreen(*raster, 0, 64);
  CHECK(std::abs(area - std::numbers::pi * radius * radius) < 0.03 * 2 * std::numbers::pi * radius);
}

TEST_CASE("Flat colours: every pixel inside is the sRGB value, alpha exactly 1",
          "[artwork][closed-form]") {
  for (int code = 0; code < 256; code += 5) {
    const int other = 255 - code;
    const auto art =
        SvgFrom(fmt::format("<svg xmlns='http://www.w3.org/2000/svg' width='8' height='8'>"
                            "<rect width='8' height='8' fill='#{:02x}{:02x}80'/></svg>",
                            code, other));
    const auto raster = art->Rasterise({40, 40});
    REQUIRE(raster.ok());
    for (const int64_t at : {0, 20, 39}) {
      CHECK(std::abs(raster->row(0, at)[at] - LinearFromSrgb(code / 255.0)) < 1e-6);
      CHECK(std::abs(raster->row(1, at)[at] - LinearFromSrgb(other / 255.0)) < 1e-6);
      CHECK(std::abs(raster->row(2, at)[at] - LinearFromSrgb(128 / 255.0)) < 1e-6);
      CHECK(raster->row(3, at)[at] == 1);
    }
  }
}

// Limit  alpha 0.4 is 102 codes exactly; colour times alpha is stored in 8 bits, and cairo may cut
//        off up to one code of 204 * 0.4 = 81.6: 1 / 81.6 * 0.8 * 1.9 (slope of the curve at 0.8) *
//        0.4.
TEST_CASE("Clear ground: colour is multiplied by alpha in linear light", "[artwork][closed-form]") {
  const auto art = SvgFrom(
      "<svg xmlns='http://www.w3.org/2000/svg' width='8' height='8'>"
      "<rect width='4' height='8' fill='#cc3300' fill-opacity='0.4'/></svg>");
  const auto raster = art->Rasterise({80, 80});
  REQUIRE(raster.ok());
  CHECK(raster->row(3, 40)[20] == Approx(0.4).margin(1e-6));
  CHECK(raster->row(0, 40)[20] == Approx(0.4 * LinearFromSrgb(0.8)).margin(0.0075));
  CHECK(raster->row(2, 40)[20] == 0);
  for (int plane = 0; plane < 4; ++plane) CHECK(raster->row(plane, 40)[60] == 0);
}

TEST_CASE("Edges: the table of displacements by factor", "[.][artwork][measure]") {
  for (const int factor : {1, 2, 3, 4}) {
    for (const bool edges : {false, true}) {
      const DrawingPlan plan{factor, 64, edges};
      std::string line =
          fmt::format("factor {} model {:d}: edge {:.4f}", factor, edges, EdgeError(plan));
      for (const double turn : {0.0, 7.0, 30.0, 90.0 - 45.0}) {
        for (const double width : {0.25, 0.5, 1.0, 2.0}) {
          line += fmt::format("  {:g}deg {:g}: {:.3f}/{:.3f}", turn, width,
                              LineError(plan, width, turn, "#000", "#fff"),
                              LineError(plan, width, turn, "#fff", "#000"));
        }
      }
      fmt::print("{}\n", line);
    }
  }
}
}  // namespace wheatpaste
