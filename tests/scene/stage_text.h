// stage_text.h - scenes with a stage as text.
#pragma once

#include <string>

#include "scene/scene_text.h"

namespace wheatpaste::test {

// Lines 1 to 9 of a scene that is right; what follows adds tables to the stage.
inline const std::string kStage =
    "[stage]\nsun = { height = 50 }\n"
    "[stage.camera]\nat = [0, 500, 2000]\naim = \"poster\"\n"
    "[[stage.object]]\nname = \"poster\"\nsolid = \"sheet\"\nsize = [420, 594]\n";

}  // namespace wheatpaste::test
