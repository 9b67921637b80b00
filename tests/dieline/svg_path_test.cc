// The path grammar: every command by closed forms, and areas as another program draws them.
#include <catch2/catch.hpp>

#include <numbers>

#include "dieline/dieline_support.h"
#include "dieline/svg_path.h"
#include "dieline/svg_values.h"
#include "image/read_bitmap.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;
using Eigen::Vector2d;

std::vector<SvgSubpath> Read(const std::string& text) {
  std::string mistake;
  auto paths = ReadSvgPath(text, Eigen::Affine2d::Identity(), mistake);
  CHECK(mistake.empty());
  return paths;
}

std::string MistakeOf(const std::string& text) {
  std::string mistake;
  ReadSvgPath(text, Eigen::Affine2d::Identity(), mistake);
  return mistake;
}

void CheckPoints(const SvgSubpath& path, const std::vector<Vector2d>& points) {
  REQUIRE(path.points.size() == points.size());
  for (size_t i = 0; i < points.size(); ++i) CHECK((path.points[i] - points[i]).norm() < 1e-9);
}

// Source  SVG 1.1, 8.3: repeated pairs, numbers without separators, relative commands, a path that goes on after Z.
TEST_CASE("Path: the grammar's short forms", "[dieline][closed-form]") {
  auto paths = Read("M10-20L.5.5 1e1,2E+1h-5V0z l5 5M1,1 2 2");
  REQUIRE(paths.size() == 3);
  CheckPoints(paths[0], {{10, -20}, {0.5, 0.5}, {10, 20}, {5, 20}, {5, 0}});
  CHECK(paths[0].closed);
  CheckPoints(paths[1], {{10, -20}, {15, -15}});
  CHECK_FALSE(paths[1].closed);
  CheckPoints(paths[2], {{1, 1}, {2, 2}});
  paths = Read("m 3 4 1 1 m 1 1 1 1");
  REQUIRE(paths.size() == 2);
  CheckPoints(paths[1], {{5, 6}, {6, 7}});
  // Flags of arcs need no separators.
  CHECK((Read("M0 0a5 5 0 1110 0")[0].points.back() - Vector2d(10, 0)).norm() < 1e-9);
  CHECK(Read("").empty());
}

TEST_CASE("Path: curves stay within the tolerance", "[dieline][closed-form]") {
  // A circle of two arcs: every point on it, every chord's middle nearly.
  const auto circle = Read("M10 0A10 10 0 0 1-10 0A10 10 0 0 1 10 0Z")[0];
  for (size_t i = 0; i < circle.points.size(); ++i) {
    const Vector2d &a = circle.points[i], &b = circle.points[(i + 1) % circle.points.size()];
    CHECK(a.norm() == Approx(10).margin(1e-9));
    CHECK(((a + b) / 2).norm() >= 10 - kCurveToleranceMm);
  }
  // Pieces below the circle: its area less at most the tolerance all around.
  CHECK(SignedArea(circle.points) <= 100 * std::numbers::pi);
  CHECK(SignedArea(circle.points) >=
        100 * std::numbers::pi - 20 * std::numbers::pi * kCurveToleranceMm);
  // The same parabola as quadratic, its continuation, and cubic: y = x (20 - x) / 10, area under 20 mm: 400 / 3.
  for (const char* text : {"M0 0Q10 20 20 0Z", "M0 0q10 20 20 0z", "M0 0Q5 10 10 10T20 0Z",
                           "M0 0C6.6666666667 13.3333333333 13.3333333333 13.3333333333 20 0Z",
                           "M0 0C3.3333333333 6.6666666667 6.6666666667 10 10 10S16.6666666667 "
                           "6.6666666667 20 0Z"}) {
    CHECK(std::abs(SignedArea(Read(text)[0].points)) ==
          Approx(400.0 / 3).margin(20 * kCurveToleranceMm));
  }
}

TEST_CASE("Path: what is none says where", "[dieline][bad-input]") {
  CHECK(MistakeOf("L1 1") == "expected M first at character 1 of the path");
  CHECK(MistakeOf("M1 1 L") == "expected a number at character 7 of the path");
  CHECK(MistakeOf("M1 1 L2") == "expected a number at character 8 of the path");
  CHECK(MistakeOf("M1 1 x") ==
        "expected a command such as M or L, not \"x\" at character 6 of the path");
  CHECK(MistakeOf("M0 0 A5 5 0 2 0 1 1") == "expected 0 or 1 at character 13 of the path");
  CHECK(MistakeOf("M1 1e999") == "expected a number at character 4 of the path");
  CHECK(MistakeOf("M1 1 L nan 3") == "expected a number at character 8 of the path");
}

// Source  CSS Values and Units 4, 6.2: 1in = 2.54cm = 96px = 72pt = 6pc.
TEST_CASE("SVG lengths, transforms, pages", "[dieline][published]") {
  for (const char* inch : {"1in", "2.54cm", "25.4mm", "96px", "96", "72pt", "6pc", " 96 "}) {
    CHECK(*SvgLengthMm(inch) == Approx(25.4).margin(1e-12));
  }
  CHECK_FALSE(SvgLengthMm("10%"));
  CHECK_FALSE(SvgLengthMm("3em"));
  const auto at = [](const char* transform, const Vector2d& p) {
    return Vector2d(*SvgTransform(transform) * p);
  };
  CHECK((at("translate(3)", {1, 1}) - Vector2d(4, 1)).norm() < 1e-12);
  CHECK((at("rotate(90)", {1, 0}) - Vector2d(0, 1)).norm() < 1e-12);
  CHECK((at("rotate(90, 5, 5)", {5, 0}) - Vector2d(10, 5)).norm() < 1e-12);
  CHECK((at("translate(10,0) scale(2,-1)", {1, 1}) - Vector2d(12, -1)).norm() < 1e-12);
  CHECK((at("matrix(1 2 3 4 5 6)", {1, 1}) - Vector2d(9, 12)).norm() < 1e-12);
  CHECK((at("skewX(45)", {0, 1}) - Vector2d(1, 1)).norm() < 1e-12);
  for (const char* wrong : {"turn(3)", "rotate()", "matrix(1 2 3)", "scale(1"}) {
    CHECK_FALSE(SvgTransform(wrong));
  }
  // A page wider than its viewBox: all shown, in the middle.
  const auto page = SvgPageOf("200mm", "100mm", "0 0 10 10");
  REQUIRE(page);
  CHECK((page->mm_from_user * Vector2d(0, 0) - Vector2d(50, 0)).norm() < 1e-12);
  CHECK((page->mm_from_user * Vector2d(10, 10) - Vector2d(150, 100)).norm() < 1e-12);
  CHECK_FALSE(SvgPageOf({}, {}, {}));
  CHECK(SvgPageOf("100%", "100%", "0 0 96 96")->size.x() == Approx(25.4));
}

// Reference  rsvg-convert of librsvg 2.54: rsvg-convert -b white -w 1000 -h 1000 paths.svg. It fills each shape black; its area is what is
//            dark, in px of 0.1 mm. Compared with the area of our points, shape by shape.
// Limit      0.02 mm^2 and 0.1 %: eight bits a px along outlines of some hundred mm.
TEST_CASE("Path: areas as another program draws them", "[dieline][reference]") {
  const TempFolder folder;
  const std::string transforms[] = {"", "transform=\"translate(90 8) rotate(75) scale(.9 .8)\"",
                                    "transform=\"matrix(.8 .3 -.2 .9 15 -5)\""};
  const std::string paths[] = {
      "M20 30C20 5 60 5 60 30S80 60 50 60 10 70 20 30z", "M15 20q20-15 40 0t20 25T40 70Z",
      "M30 20A25 15 30 1 1 70 45A8 8 0 0 0 55 40A12 20-20 0 1 30 20",
      "m20 20h40v10l-5 5a3 3 0 015 5v20H20zM30 30v10h10V30z",
      "M50 15A30 30 0 0 1 50 75A30 30 0 0 1 50 15M50 30A15 15 0 0 0 50 60A15 15 0 0 0 50 30"};
  int number = 0;
  for (const std::string& transform : transforms) {
    for (const std::string& path : paths) {
      INFO(transform << " " << path);
      const std::string name = folder / fmt::format("{}", number++);
      const std::string shape = "<path " + transform + " d=\"" + path + "\" class=\"cut\"/>";
      WriteText(name + ".svg", SvgText(shape));
      REQUIRE(Run("rsvg-convert -b white -w 1000 -h 1000 -o " + name + ".png " + name + ".svg")
                  .status == 0);
      const auto bitmap = ReadBitmap({name + ".png", {}, ""});
      REQUIRE(bitmap.ok());
      double dark = 0;
      for (int64_t y = 0; y < 1000; ++y) {
        for (int64_t x = 0; x < 1000; ++x) {
          dark += (255 - bitmap->row(y)[x * bitmap->channels()]) / 255.0 / 100;
        }
      }
      const auto drawing = ParseDieline(SvgText(shape), kBoxSvg, {});
      REQUIRE(drawing.ok());
      double area = 0;
      for (const DielineLine& line : drawing->lines) area += SignedArea(line.points);
      CHECK(std::abs(area) == Approx(dark).epsilon(1e-3).margin(0.02));
    }
  }
}

}  // namespace
}  // namespace wheatpaste
