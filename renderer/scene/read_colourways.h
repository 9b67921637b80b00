// read_colourways.h - named tables that show artwork in other colours; the same in scenes and run sheets.
//
// Form    [[colourway]]
//         name = "night"
//         recolour = { "#0d3b66" = "#101820" }          colours of the vector artwork, and what they become
//         swatches = { "seed green" = "night green" }   the same by swatches; or to "#rrggbb"
//         At least one of the two tables, neither empty; no colour twice.
// Limits  kMaxColourways of them, kMaxColourChanges lines each; a name is of letters, digits, - and _, as
//         it becomes part of file names.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "scene/table_reader.h"

namespace wheatpaste {

inline constexpr size_t kMaxColourways = 64;
inline constexpr size_t kMaxColourChanges = 256;

// The tables [[colourway]] of `root`. Names of swatches are kept as written: a run sheet's own meet those of
// each scene later, in ChangesOf.
std::vector<Colourway> ReadColourways(TableReader& root);

// The table with its swatches looked up, in the order of the file.
// errors  a swatch that is not there, with the nearest; a colour that is to become two different ones.
Result<std::vector<ColourChange>> ChangesOf(const Colourway& colourway,
                                            const std::vector<Swatch>& swatches);

// The colourway called `name.value`.
// errors  none, at `name`, with the nearest.
Result<Colourway> FindColourway(const std::vector<Colourway>& colourways,
                                const Placed<std::string>& name);

}  // namespace wheatpaste
