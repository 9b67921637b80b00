// dieline_fuzz.cc - any bytes as a dieline: a carton of finite vertices that folds, or errors of one line each.
//
// Kept     what is a blank keeps its area over all panels, and its solid is on its page.
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <string>

#include "dieline/check_fold.h"
#include "dieline/find_panels.h"
#include "dieline/fold_solid.h"
#include "dieline/read_dieline.h"
#include "dieline/stack_layers.h"
#include "require.h"

namespace {

using namespace wheatpaste;

void CheckErrors(const Errors& errors) {
  for (const Error& error : errors) RequireOneLine(error);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Placed<std::string> path{"fuzz.svg", {"scene.toml", 4, 11}, "stage.object.dieline"};
  const auto drawing = ParseDieline(text, path, {});
  if (!drawing) {
    CheckErrors(drawing.errors());
    return 0;
  }
  auto dieline = FindPanels(*drawing, path);
  if (!dieline) {
    CheckErrors(dieline.errors());
    return 0;
  }
  // Folding many panels takes long and shows nothing more.
  constexpr size_t kMostPanels = 12;
  if (dieline->panels.size() > kMostPanels) return 0;
  double area = 0;
  for (const DielinePanel& panel : dieline->panels) area += panel.area;
  FoldPlan plan = PlanFold(std::move(*dieline), 0.5);
  StackLayers(plan);
  const std::vector<double> angles = AnglesAt(plan, 1);
  WarningsOf(plan, FindClashes(plan, PosesAt(plan, angles)));
  const Solid solid = FoldSolid(plan, angles);
  double on_sheet = 0;
  for (const SolidTriangle& triangle : solid.triangles) {
    for (const int32_t vertex : triangle.vertices) {
      Require(solid.vertices[static_cast<size_t>(vertex)].allFinite(), "finite vertices");
    }
    if (triangle.chart < 0) continue;
    const Eigen::Vector2d a = triangle.sheet[1].vector() - triangle.sheet[0].vector();
    const Eigen::Vector2d b = triangle.sheet[2].vector() - triangle.sheet[0].vector();
    on_sheet += (b.x() * a.y() - b.y() * a.x()) / 2;
  }
  Require(std::abs(on_sheet - area) <= 1 + 0.01 * area, "area kept");
  return 0;
}
