// read_relief.h - how a surface's folds and heights bend what is printed on it; used by read_surface.cc only.
#pragma once

#include "scene/scene_parts.h"

namespace wheatpaste {

// Keys `relief`, `relief_amount` and `light_from` of a [[surface]], whose shape and size have been read.
void ReadRelief(TableReader& table, const ScenePaths& paths, SurfaceDraft& draft);

}  // namespace wheatpaste
