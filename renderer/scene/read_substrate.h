// read_substrate.h - what a surface is made of, and what becomes of the print that it bears in the photo.
#pragma once

#include "scene/scene_parts.h"

namespace wheatpaste {

// Whether reflectance can be read from a photo: substrate = "photo".
enum class SubstrateFrom { kAnywhere, kNotPhoto };

// Key `substrate` of any table; where it is missing the default, not stated, at the place of the table.
Placed<Substrate> ReadSubstrate(TableReader& table, const SceneContext& context,
                                SubstrateFrom from);

// Keys `substrate` and `old_print` of a [[surface]].
void ReadSubstrate(TableReader& table, const SceneContext& context, Surface& surface);

}  // namespace wheatpaste
