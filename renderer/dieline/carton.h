// carton.h - a carton from its dieline: read or drawn to measure, folded, checked, as a solid.
#pragma once

#include "base/error.h"
#include "geometry/solid.h"
#include "scene/stage.h"

namespace wheatpaste {

// Faces: each panel that is a face of the closed carton by its name ("front", ...), others "panel_1", ...; and "flat", the whole
// blank at once, its outside. Parts: "outside", "inside", "edges".
// errors  the dieline cannot be read, is no blank, or does not fold; at its place.
Result<Solid> MakeCarton(const CartonSolid& carton, const Place& place);

}  // namespace wheatpaste
