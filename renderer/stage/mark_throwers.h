// mark_throwers.h - which charts of a built stage's world belong to the faces whose thrown colour is told apart.
#pragma once

#include "base/error.h"
#include "scene/stage.h"
#include "stage/build_stage.h"

namespace wheatpaste {

// Fills in the world's throwers, numbered as Stage::colour_transfer; a chart of several such faces is the first one's.
// errors  a face that its object does not have.
Status MarkThrowers(const Stage& stage, BuiltStage& built);

}  // namespace wheatpaste
