// read_occlusion.h - what stands in front of a surface, or of all of them; used by the readers of this folder.
#pragma once

#include "scene/scene_parts.h"

namespace wheatpaste {

// Keys `matte`, `in_front` and `matte_strokes` of `table`, which is [photo] or a [[surface]].
void ReadOcclusion(TableReader& table, const ScenePaths& paths, Occlusion& occlusion);

}  // namespace wheatpaste
