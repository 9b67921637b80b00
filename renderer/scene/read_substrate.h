// read_substrate.h - what a surface is made of, and what becomes of the print that it bears in the photo.
#pragma once

#include "scene/scene_parts.h"

namespace wheatpaste {

// Keys `substrate` and `old_print` of a [[surface]].
void ReadSubstrate(TableReader& table, const SceneContext& context, Surface& surface);

}  // namespace wheatpaste
