// carton.h - a carton from its dieline: read or drawn to measure, folded, checked, as a solid.
#pragma once

#include "base/error.h"
#include "dieline/dieline.h"
#include "geometry/solid.h"
#include "scene/stage.h"

namespace wheatpaste {

// The blank that a carton is folded of, for rules on its artwork.
// errors  as MakeCarton.
Result<Dieline> DielineOf(const CartonSolid& carton, const Place& place);

// Faces: each panel by its name ("front", ...), others "panel_1", ...; and "flat", the whole page of the dieline at once, its outside,
// upright as it is drawn. Parts: "outside", "inside", "edges". It stands on its lowest point, its front towards +z; flat
// (closed = 0) it stands in the plane z = 0 as its front stands (fold_solid.h).
// errors    the dieline cannot be read, is no blank, or does not fold; at its place.
// warnings  panels that go through each other once it is closed.
Result<Solid> MakeCarton(const CartonSolid& carton, const Place& place);

}  // namespace wheatpaste
