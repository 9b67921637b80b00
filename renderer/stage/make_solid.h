// make_solid.h - a stage's object to triangles (geometry/solid.h), before it is placed.
#pragma once

#include "base/error.h"
#include "geometry/solid.h"
#include "scene/stage.h"

namespace wheatpaste {

// errors  a dieline or mesh that cannot be read or folded, at its place.
Result<Solid> MakeSolid(const StageObject& object);

}  // namespace wheatpaste
