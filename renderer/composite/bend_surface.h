// bend_surface.h - folds and heights of the scene's surfaces, put into the pictures of their charts.
//
// Sources  the photo's own shading (light/relief.h); a gray picture of heights over the face's flat rectangle; a picture of
//          normals over it: (r, g, b) = (n + 1) / 2, x right, y up, z out, which are put together to heights (Frankot,
//          Chellappa 1988).
#pragma once

#include "base/error.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

// Bends the charts of surfaces that have relief; what was read is noted in PreparedSurface::relief_notes.
// solved  of the same scene; prepared.solved is not looked at.
// errors  a picture of heights or normals that cannot be used, at its place.
// Threads runs in parallel; the same bits for any thread count.
Errors BendSurfaces(const SolvedScene& solved, PreparedScene& prepared);

}  // namespace wheatpaste
