// A stage's carton: from a style or a file, closed, open and flat.
#include <catch2/catch.hpp>

#include <algorithm>

#include "dieline/carton.h"
#include "dieline/dieline_support.h"
#include "dieline/write_dieline.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

const Place kPlace{"scene.toml", 7, 1};

CartonSolid Tuck(double closed) {
  CartonSolid carton;
  carton.style = "tuck";
  carton.inner = {90, 40, 140};
  carton.board = 0.5;
  carton.closed = closed;
  return carton;
}

Eigen::Vector3d SizeOf(const Solid& solid) {
  Eigen::Vector3d low = solid.vertices.front(), high = low;
  for (const Eigen::Vector3d& v : solid.vertices) {
    low = low.cwiseMin(v);
    high = high.cwiseMax(v);
  }
  return high - low;
}

TEST_CASE("Carton of a style and of its own SVG are the same", "[dieline][invariant]") {
  const TempFolder folder;
  const std::string path = folder / "tuck.svg";
  WriteText(path, DielineSvg(BlankOf("tuck", 90, 40, 140, 0.5), "tuck", kBlankCaution));
  for (const double closed : {0.0, 0.5, 1.0}) {
    const auto drawn = MakeCarton(Tuck(closed), kPlace);
    REQUIRE(drawn.ok());
    CHECK(drawn->warnings.empty());
    CartonSolid from_file = Tuck(closed);
    from_file.style = "";
    from_file.dieline = Placed<std::string>{path, kPlace, "dieline"};
    const auto read = MakeCarton(from_file, kPlace);
    REQUIRE(read.ok());
    CHECK((SizeOf(*drawn) - SizeOf(*read)).norm() < 0.01);
    CHECK(read->faces.size() == drawn->faces.size());
    CHECK(read->chart_count == drawn->chart_count);
  }
}

TEST_CASE("Carton: faces by name, the flat its whole page", "[dieline][invariant]") {
  const auto solid = MakeCarton(Tuck(1), kPlace);
  REQUIRE(solid.ok());
  CHECK(solid->parts == std::vector<std::string>{"outside", "inside", "edges"});
  const auto face = [&](const std::string& name) -> const SolidFace& {
    const auto found = std::find_if(solid->faces.begin(), solid->faces.end(),
                                    [&](const SolidFace& f) { return f.name == name; });
    if (found == solid->faces.end()) FAIL("no face " + name);
    return *found;
  };
  CHECK(static_cast<int>(face("flat").charts.size()) == solid->chart_count);
  const Dieline dieline = PanelsOf(BlankOf("tuck", 90, 40, 140, 0.5));
  CHECK(face("flat").high.x == Approx(dieline.page.x()));
  // The lid lies upside down on the sheet: its face is upright, its upper left corner (0, 0).
  const SolidFace& top = face("top");
  const auto& outline = PanelNamed(dieline, "top").outline;
  double least_x = 1e9, least_y = 1e9, most_y = -1e9;
  for (const Eigen::Vector2d& p : outline) {
    const SurfaceMm at = top.face_from_sheet({p.x(), p.y()});
    least_x = std::min(least_x, at.x);
    least_y = std::min(least_y, at.y);
    most_y = std::max(most_y, p.y());
  }
  CHECK(least_x == Approx(0).margin(1e-9));
  CHECK(least_y == Approx(0).margin(1e-9));
  CHECK(top.face_from_sheet({0, most_y}).y == Approx(0).margin(1e-9));
}

TEST_CASE("Carton: a file that does not close says what goes through what",
          "[dieline][invariant]") {
  // Two flaps fold in from both sides of a panel 20 wide; each is 30 deep.
  const TempFolder folder;
  const std::string path = folder / "strip.svg";
  WriteText(path, SvgText("<rect class=\"cut\" x=\"0\" y=\"10\" width=\"80\" height=\"30\"/>"
                          "<path class=\"crease\" d=\"M30 10V40M50 10V40\" data-angle=\"150\"/>"));
  CartonSolid carton;
  carton.board = 0.5;
  carton.dieline = Placed<std::string>{path, kPlace, "dieline"};
  const auto solid = MakeCarton(carton, kPlace);
  REQUIRE(solid.ok());
  CHECK(solid->warnings ==
        std::vector<std::string>{"folded, the panels panel_1 and panel_3 go through each other"});
}

TEST_CASE("Carton: a blank without creases is a sheet", "[dieline][bad-input]") {
  const TempFolder folder;
  const std::string path = folder / "sheet.svg";
  WriteText(path, SvgText("<rect class=\"cut\" x=\"0\" y=\"10\" width=\"80\" height=\"30\"/>"));
  CartonSolid carton;
  carton.board = 0.5;
  carton.dieline = Placed<std::string>{path, kPlace, "stage.object.dieline"};
  const auto solid = MakeCarton(carton, kPlace);
  REQUIRE_FALSE(solid.ok());
  CHECK(FormatErrors(solid.errors()) ==
        "scene.toml:7:1: error: stage.object.dieline = \"" + path +
            "\": expected creases: a blank of one panel is a sheet\n");
}

}  // namespace
}  // namespace wheatpaste
