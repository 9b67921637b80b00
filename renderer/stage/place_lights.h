// place_lights.h - the lights and the camera of a stage, in the world that is traced.
//
// Model   build_stage.h says what a strength, an exposure, an f-number is there.
#pragma once

#include "base/error.h"
#include "scene/stage.h"
#include "stage/build_stage.h"

namespace wheatpaste {

// built  its objects are there already: lights and camera may aim at them. What is wrong is added to `errors`.
void AddLights(const Stage& stage, BuiltStage& built, Errors& errors);
// Adds a warning too where the camera stands within an object.
void AddCamera(const Stage& stage, BuiltStage& built, Errors& errors);

}  // namespace wheatpaste
