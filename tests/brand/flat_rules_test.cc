// Artwork on a whole blank: a page of 200 x 120 mm, panels of 60 and 80 mm side by side with a glue flap of 20 on their left.
#include <catch2/catch.hpp>

#include <algorithm>

#include "brand/drawing_support.h"
#include "brand/flat_rules.h"

namespace wheatpaste {
namespace {

using namespace test;

Dieline Blank() {
  Dieline dieline;
  dieline.page = {200, 120};
  const auto panel = [&](const char* name, double x0, double x1, bool glued) {
    DielinePanel made;
    made.name = name;
    made.outline = {{x0, 20}, {x1, 20}, {x1, 100}, {x0, 100}};
    made.area = (x1 - x0) * 80;
    made.glued = glued;
    dieline.panels.push_back(made);
  };
  panel("glue_flap", 20, 40, true);
  panel("back", 40, 100, false);
  panel("front", 100, 180, false);
  dieline.creases = {{{1, 0}, {40, 20}, {40, 100}, 90, {}},
                     {{2, 1}, {100, 20}, {100, 100}, 90, {}}};
  dieline.glue = {dieline.panels[0].outline};
  return dieline;
}

// Five letters of different widths, 6 mm high, that begin at x.
std::string Letters(double x, double y) {
  std::string text;
  for (const double width : {3.0, 4.0, 2.0, 5.0, 3.5}) {
    text += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"6\" fill=\"#0f4a3f\"/>", x,
                        y, width);
    x += width + 1.5;
  }
  return text;
}

Findings Found(const std::string& inside) {
  const FlatDrawing drawing = Drawn(200, 120, inside, 4, {kCream});
  const Shapes shapes = FindShapes(drawing);
  Eigen::Matrix3d page = Eigen::Matrix3d::Identity();
  page(0, 0) = 200;
  page(1, 1) = 120;
  const Map<SurfaceMm, ArtworkUv> flat_from_artwork(page);
  const Dieline blank = Blank();
  Findings findings{CheckCreases(blank, FindLetterRows(drawing, shapes), flat_from_artwork),
                    CheckGlue(blank, drawing, flat_from_artwork)};
  const EdgeDistances edges = MeasureEdges(drawing, shapes, flat_from_artwork, LayFlat(blank));
  for (Finding& finding : CheckEdges(edges, true)) findings.push_back(std::move(finding));
  return findings;
}

const Finding& Of(const Findings& findings, const std::string& rule) {
  const auto found = std::find_if(findings.begin(), findings.end(),
                                  [&](const Finding& finding) { return finding.rule == rule; });
  if (found == findings.end()) FAIL("no finding of " + rule);
  return *found;
}

TEST_CASE("Flat rule: lettering across a crease", "[brand][closed-form]") {
  const Findings kept = Found(Letters(110, 40));
  CHECK(Of(kept, "lettering on creases").verdict == Finding::Verdict::kKept);
  // To a px of 0.25 mm.
  CHECK(*Of(kept, "lettering on creases").measured == Approx(10).margin(0.25));
  const Findings broken = Found(Letters(110, 40) + Letters(90, 60) + Letters(92, 80));
  const Finding& finding = Of(broken, "lettering on creases");
  CHECK(finding.verdict == Finding::Verdict::kBroken);
  CHECK(*finding.measured == 0);
  CHECK(finding.words ==
        "what looks like lettering at [90, 66] runs across the crease between front and back, as "
        "does another row; "
        "folded, it breaks there");
  CHECK(Of(Found(""), "lettering on creases").verdict == Finding::Verdict::kNotMeasured);
}

TEST_CASE("Flat rule: glue areas stay bare but for a lap", "[brand][closed-form]") {
  const auto rect = [](double x0, double x1) {
    return fmt::format("<rect x=\"{}\" y=\"30\" width=\"{}\" height=\"10\" fill=\"#0f4a3f\"/>", x0,
                       x1 - x0);
  };
  CHECK(Of(Found(rect(37.5, 90)), "glue").verdict == Finding::Verdict::kKept);
  const Finding broken = Of(Found(rect(27, 90)), "glue");
  CHECK(broken.verdict == Finding::Verdict::kBroken);
  // 27 to 37 mm, 10 mm high.
  CHECK(*broken.measured == Approx(100).margin(6));
}

TEST_CASE("Flat rule: bleed beyond the cuts, none at creases or at the glue flap",
          "[brand][closed-form]") {
  const auto ground = [](double x0, double y0, double x1, double y1) {
    return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#f6edd8\"/>", x0,
                       y0, x1 - x0, y1 - y0);
  };
  const Finding enough = Of(Found(ground(37, 16.5, 183.5, 103.5)), "bleed");
  CHECK(enough.verdict == Finding::Verdict::kKept);
  CHECK(*enough.measured == Approx(3.5).margin(0.26));
  const Finding less = Of(Found(ground(37, 16.5, 181, 103.5)), "bleed");
  CHECK(less.verdict == Finding::Verdict::kBroken);
  CHECK(*less.measured == Approx(1).margin(0.26));
  // What ends at a crease needs none.
  const Findings within = Found(ground(100, 30, 150, 90));
  CHECK(std::none_of(within.begin(), within.end(),
                     [](const Finding& finding) { return finding.rule == "bleed"; }));
}

}  // namespace
}  // namespace wheatpaste
