// add_looks.h - the pictures of a stage's materials and of its light, read into the world that is to be traced.
//
// Texture with a stated substrate the picture of its colour is scaled so that its mean is the substrate's reflectance: a scan
//         tells where it is lighter, the preset how light it is. Without one it is taken as it is.
// Light   a map's radiance times its scale; behind everything it is seen blurred, where the scene says so (read_texture.h).
#pragma once

#include "base/error.h"
#include "scene/stage.h"
#include "stage/build_stage.h"

namespace wheatpaste {

// errors  of every file that cannot be read, or is not what it was when the stage was built.
Status AddLooks(const Stage& stage, BuiltStage& built);

}  // namespace wheatpaste
