#include <fmt/format.h>

#include "dieline/blanks.h"
#include "dieline/carton.h"
#include "dieline/check_fold.h"
#include "dieline/find_panels.h"
#include "dieline/fold_solid.h"
#include "dieline/read_dieline.h"
#include "dieline/stack_layers.h"

namespace wheatpaste {

namespace {

Result<DielineDrawing> DrawingOf(const CartonSolid& carton, const Place& place) {
  if (carton.dieline) return ReadDieline(*carton.dieline, {carton.cut, carton.crease});
  return DrawBlank({carton.style, place, "stage.object.style"},
                   {carton.inner, place, "stage.object.inner"},
                   {carton.board, place, "stage.object.board"});
}

}  // namespace

Result<Dieline> DielineOf(const CartonSolid& carton, const Place& place) {
  const auto drawing = DrawingOf(carton, place);
  if (!drawing) return drawing.errors();
  return FindPanels(*drawing, carton.dieline ? *carton.dieline
                                             : Placed<std::string>{carton.style, place, "style"});
}

Result<Solid> MakeCarton(const CartonSolid& carton, const Place& place) {
  auto dieline = DielineOf(carton, place);
  if (!dieline) return dieline.errors();
  if (carton.dieline && dieline->panels.size() == 1) {
    return Error{
        carton.dieline->place,
        fmt::format("{} = \"{}\"", carton.dieline->key, PrintableText(carton.dieline->value)),
        "expected creases: a blank of one panel is a sheet"};
  }
  FoldPlan plan = PlanFold(std::move(*dieline), carton.board);
  StackLayers(plan);
  Solid solid = FoldSolid(plan, AnglesAt(plan, carton.closed, carton.lid));
  solid.warnings = WarningsOf(plan, FindClashes(plan, PosesAt(plan, AnglesAt(plan, 1))));
  return solid;
}

}  // namespace wheatpaste
