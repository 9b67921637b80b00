#include "stage/mark_throwers.h"

#include "stage/find_face.h"

namespace wheatpaste {

Status MarkThrowers(const Stage& stage, BuiltStage& built) {
  World& world = built.world;
  if (stage.colour_transfer.empty()) return Done{};
  Errors errors;
  world.throwers.assign(static_cast<size_t>(built.chart_count), -1);
  for (const StageTransfer& transfer : stage.colour_transfer) {
    const BuiltObject& object = built.objects[transfer.object];
    const auto face =
        FindFace(stage.objects[transfer.object], object.solid, transfer.name, transfer.face);
    if (!face) {
      errors.insert(errors.end(), face.errors().begin(), face.errors().end());
      continue;
    }
    for (const int32_t chart : (*face)->charts) {
      int32_t& thrower = world.throwers[static_cast<size_t>(object.first_chart + chart)];
      if (thrower < 0) thrower = world.thrower_count;
    }
    ++world.thrower_count;
  }
  if (!errors.empty()) return errors;
  return Done{};
}

}  // namespace wheatpaste
