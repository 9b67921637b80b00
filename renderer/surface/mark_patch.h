// mark_patch.h - a grid of marked points as a surface: what can go wrong with it, and what its size is.
//
// Model   patch_spline.h through all marks. They tell nothing of the camera. Without a size the width counts as
//         kUnsizedWidthMm, and the height follows from the mean lengths of rows and columns as pictured: how
//         much of that is foreshortening is not known.
#pragma once

#include <optional>

#include "base/error.h"
#include "geometry/patch_spline.h"
#include "scene/scene.h"

namespace wheatpaste {

// Flat size of the surface, mm: as given, or in the proportions of the picture.
SurfaceMm PatchSizeOf(const Surface& surface);

// The first mistake of a grid: marks that coincide, a mirrored grid, a cell that folds over, an outline that
// crosses itself; at the place of the mark it lies at.
std::optional<Error> FindPatchMistake(const PatchMarks& marks, const PatchSpline& spline);

}  // namespace wheatpaste
