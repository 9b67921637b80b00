// memory_for.h - how much memory making a picture takes, before anything is made.
//
// Model   the sum of what is held at the worst moment, in bytes a px:
//           photo     its codes as decoded; of a picture held whole, other than the photo, its light too: 12
//           analysed  codes and light; where placements lie, what charts hold and the analysis needs besides
//           whole     artwork's rasters, their pyramids, and what films make of them
//           stage     its triangles, trees and textures, and the larger of: its photograph kept beside the above; what it takes to take it
//           large     instead of those one tile and its artwork, and the codes of a strip, twice
//         Nothing is made: charts are looked at in a picture of a few thousand px.
// Checked against the peak resident memory that `render` was measured to take on eight example scenes at four sizes
//         (tests/composite/memory_for_test.cc): never below it, at most three times.
#pragma once

#include <cstdint>

#include "composite/prepare_scene.h"

namespace wheatpaste {

// Bytes, the program's own included. Not of artwork's children that draw it.
int64_t MemoryFor(const SolvedScene& solved, const PictureWish& wish);

}  // namespace wheatpaste
