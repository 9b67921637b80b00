// dieline_support.h - short ways from a style or an SVG text to a folded carton.
#pragma once

#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "dieline/blanks.h"
#include "dieline/find_panels.h"
#include "dieline/fold.h"
#include "dieline/read_dieline.h"
#include "dieline/stack_layers.h"

namespace wheatpaste::test {

inline const Placed<std::string> kBoxSvg{"box.svg", {"scene.toml", 4, 11}, "stage.object.dieline"};

inline DielineDrawing BlankOf(const std::string& style, double l, double b, double h, double t) {
  auto drawing =
      DrawBlank({style, {"scene.toml", 1, 1}, "style"}, {{l, b, h}, {"scene.toml", 2, 1}, "inner"},
                {t, {"scene.toml", 3, 1}, "board"});
  if (!drawing) FAIL(FormatErrors(drawing.errors()));
  return std::move(*drawing);
}

inline Dieline PanelsOf(const DielineDrawing& drawing) {
  auto dieline = FindPanels(drawing, kBoxSvg);
  if (!dieline) FAIL(FormatErrors(dieline.errors()));
  return std::move(*dieline);
}

inline FoldPlan PlanOf(const std::string& style, double l, double b, double h, double t) {
  FoldPlan plan = PlanFold(PanelsOf(BlankOf(style, l, b, h, t)), t);
  StackLayers(plan);
  return plan;
}

inline const DielinePanel& PanelNamed(const Dieline& dieline, const std::string& name) {
  const int index = FindPanel(dieline, name);
  if (index < 0) FAIL("no panel " + name);
  return dieline.panels[static_cast<size_t>(index)];
}

// Width and height of the bounds.
inline Eigen::Vector2d SizeOf(const FlatOutline& outline) {
  Eigen::Vector2d low = outline.front(), high = low;
  for (const Eigen::Vector2d& p : outline) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  return high - low;
}

// An SVG of 100 x 100 mm, one unit a mm.
inline std::string SvgText(const std::string& inside) {
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"100mm\" "
         "viewBox=\"0 0 100 100\">" +
         inside + "</svg>";
}

// What is wrong with a dieline of that text, a line each; "" where nothing is.
inline std::string MistakesOf(const std::string& svg, const DielineMarks& marks = {}) {
  const auto drawing = ParseDieline(svg, kBoxSvg, marks);
  if (!drawing) return FormatErrors(drawing.errors());
  const auto dieline = FindPanels(*drawing, kBoxSvg);
  return dieline ? "" : FormatErrors(dieline.errors());
}

inline Dieline Parsed(const std::string& svg, const DielineMarks& marks = {}) {
  const auto drawing = ParseDieline(svg, kBoxSvg, marks);
  if (!drawing) FAIL(FormatErrors(drawing.errors()));
  return PanelsOf(*drawing);
}

}  // namespace wheatpaste::test
