// Blanks against the rules of their styles, and read again from the SVG that people design on.
#include <catch2/catch.hpp>

#include <algorithm>

#include "dieline/dieline_support.h"
#include "dieline/split_lines.h"
#include "dieline/write_dieline.h"

namespace wheatpaste {
namespace {

using namespace test;

// Source  check X01, worked out by hand from the layout rule: L 300, B 200, H 150, t 4: panels 304 204 304 202, flaps 102,
//         creases 158 apart, the blank 1049 x 362 with a glue flap of 35. No rounding: exact to the grid of the flat.
TEST_CASE("Blank 0201: panels, flaps, height and size of X01", "[dieline][published]") {
  const Dieline dieline = PanelsOf(BlankOf("0201", 300, 200, 150, 4));
  CHECK(dieline.panels.size() == 13);
  CHECK(dieline.creases.size() == 12);
  const auto size = [&](const char* name) { return SizeOf(PanelNamed(dieline, name).outline); };
  for (const auto& [name, width] : {std::pair("back", 304.0), std::pair("left", 204.0),
                                    std::pair("front", 304.0), std::pair("right", 202.0)}) {
    CHECK(size(name).x() == Approx(width).margin(kFlatGridMm));
    CHECK(size(name).y() == Approx(158).margin(kFlatGridMm));
    for (const char* end : {"top_", "bottom_"}) {
      CHECK(size((std::string(end) + name).c_str()).y() == Approx(102).margin(kFlatGridMm));
      // Slots t + 3 wide, half of them at each side.
      CHECK(size((std::string(end) + name).c_str()).x() == Approx(width - 7).margin(kFlatGridMm));
    }
  }
  CHECK(size("glue_flap").x() == Approx(35).margin(kFlatGridMm));
  CHECK(dieline.page.x() - 2 * kBlankMarginMm == Approx(1049).margin(kFlatGridMm));
  CHECK(dieline.page.y() - 2 * kBlankMarginMm == Approx(362).margin(kFlatGridMm));
}

// From memory, as commonly given (A20.20): glue flap of 12 to 15, two walls, and both less 0.5; lid 0.5 shorter than the
// depth, or as much as the board is thick.
TEST_CASE("Blank tuck: panels of A20.20, lids on one wall or on both", "[dieline][published]") {
  for (const bool reverse : {false, true}) {
    const Dieline dieline =
        PanelsOf(BlankOf(reverse ? "reverse tuck" : "tuck", 89.5, 39.5, 140, 0.5));
    const auto width = [&](const char* name) {
      return SizeOf(PanelNamed(dieline, name).outline).x();
    };
    CHECK(width("back") - width("front") == Approx(0.5).margin(2 * kFlatGridMm));
    CHECK(width("left") - width("right") == Approx(0.5).margin(2 * kFlatGridMm));
    CHECK(width("front") - width("right") == Approx(50).margin(2 * kFlatGridMm));
    CHECK(width("glue_flap") == Approx(14).margin(kFlatGridMm));
    const auto wall_of = [&](const char* lid) {
      const int at = FindPanel(dieline, lid);
      for (const DielineCrease& crease : dieline.creases) {
        for (size_t side = 0; side < 2; ++side) {
          const auto& other = dieline.panels[static_cast<size_t>(crease.panels[1 - side])].name;
          if (crease.panels[side] == at && other.rfind("tuck", 0) != 0) return other;
        }
      }
      return std::string();
    };
    CHECK(wall_of("top") == "back");
    CHECK(wall_of("bottom") == (reverse ? "front" : "back"));
    CHECK(SizeOf(PanelNamed(dieline, "top").outline).y() ==
          Approx(width("left") - 0.55).margin(2 * kFlatGridMm));
  }
}

// A slanted flap's bleed had a corner that stuck out beside the wall's.
TEST_CASE("Blank: bleed ends as far beyond the sheet as it is meant to", "[dieline][invariant]") {
  for (const char* style : {"0201", "tuck", "reverse tuck", "sleeve"}) {
    INFO(style);
    const DielineDrawing drawing = BlankOf(style, 90, 40, 140, 0.5);
    double right = 0, bleed = 0;
    for (const DielinePanel& panel : PanelsOf(drawing).panels) {
      for (const Eigen::Vector2d& p : panel.outline) right = std::max(right, p.x());
    }
    for (const FlatOutline& area : drawing.bleed) {
      for (const Eigen::Vector2d& p : area) bleed = std::max(bleed, p.x());
    }
    CHECK(bleed == Approx(right + kBlankBleedMm).margin(2 * kFlatGridMm));
  }
}

TEST_CASE("Blank: its SVG read again is the same blank", "[dieline][invariant]") {
  for (const char* style : {"0201", "0427", "tuck", "reverse tuck", "sleeve"}) {
    INFO(style);
    const DielineDrawing drawing = BlankOf(style, 120, 80, 60, 1.5);
    const std::string svg = DielineSvg(drawing, style, kBlankCaution);
    const auto again = ParseDieline(svg, kBoxSvg, {});
    REQUIRE(again.ok());
    // Five digits after the point are written.
    CHECK((again->page - drawing.page).norm() < 2e-5);
    REQUIRE(again->names.size() == drawing.names.size());
    CHECK(again->glue.size() == drawing.glue.size());
    CHECK(again->bleed.size() == drawing.bleed.size());
    const Dieline was = PanelsOf(drawing), is = PanelsOf(*again);
    REQUIRE(is.panels.size() == was.panels.size());
    REQUIRE(is.creases.size() == was.creases.size());
    for (const DielinePanel& panel : was.panels) {
      const DielinePanel& same = PanelNamed(is, panel.name);
      CHECK(same.area == Approx(panel.area).margin(0.05));
      CHECK((same.up - panel.up).norm() < 1e-6);
      CHECK(same.glued == panel.glued);
      CHECK(same.holes.size() == panel.holes.size());
    }
    std::vector<std::string> orders[2];
    for (const Dieline* dieline : {&was, &is}) {
      for (const DielineCrease& crease : dieline->creases) {
        std::array<std::string, 2> names{
            dieline->panels[static_cast<size_t>(crease.panels[0])].name,
            dieline->panels[static_cast<size_t>(crease.panels[1])].name};
        std::sort(names.begin(), names.end());
        orders[dieline == &is].push_back(
            fmt::format("{} {} {} {}", names[0], names[1], crease.order.value_or(0), crease.angle));
      }
      std::sort(orders[dieline == &is].begin(), orders[dieline == &is].end());
    }
    CHECK(orders[0] == orders[1]);
  }
}

TEST_CASE("Blank: panels of no style overlap in the flat", "[dieline][invariant]") {
  for (const char* style : {"0201", "0427", "tuck", "reverse tuck", "sleeve"}) {
    const Dieline dieline = PanelsOf(BlankOf(style, 120, 80, 60, 1.5));
    for (int y = 0; y < dieline.page.y(); y += 3) {
      for (int x = 0; x < dieline.page.x(); x += 3) {
        int within = 0;
        for (const DielinePanel& panel : dieline.panels) {
          within += IsInside(panel, {x + 0.31, y + 0.17});
        }
        if (within > 1) FAIL(style << " at " << x << " " << y);
      }
    }
  }
}

TEST_CASE("Blank: sizes that no board folds to are refused", "[dieline][bad-input]") {
  const auto mistakes = [](const char* style, std::array<double, 3> inner, double board) {
    const auto drawing =
        DrawBlank({style, {"scene.toml", 1, 1}, "style"}, {inner, {"scene.toml", 2, 1}, "inner"},
                  {board, {"scene.toml", 3, 1}, "board"});
    return drawing ? "" : FormatErrors(drawing.errors());
  };
  CHECK(mistakes("tuk", {90, 40, 140}, 0.5) ==
        "scene.toml:1:1: error: style = \"tuk\": expected one of \"0201\", \"0427\", \"tuck\", "
        "\"reverse tuck\" and \"sleeve\"\n");
  CHECK(mistakes("tuck", {90, -4, 140}, 0.5) ==
        "scene.toml:2:1: error: inner = [90, -4, 140]: expected lengths above 0 and up to 3000 "
        "mm\n");
  CHECK(mistakes("tuck", {90, 40, 140}, 0) ==
        "scene.toml:3:1: error: board = 0: expected a thickness above 0 and up to 20 mm\n");
  CHECK(mistakes("0201", {90, 40, 30}, 4) ==
        "scene.toml:2:1: error: inner = [90, 40, 30]: expected lengths of at least 40 mm with a "
        "board of 4 mm\n");
}

}  // namespace
}  // namespace wheatpaste
