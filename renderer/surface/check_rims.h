// check_rims.h - marked rims of a cylinder or cone that no camera shows: what is wrong, and what would be right.
#pragma once

#include "base/error.h"
#include "scene/scene.h"

namespace wheatpaste {

// An error about a rim at its place, its points printed as the value.
Error RimError(const MarkedRim& rim, const std::string& message);

// Too few points, ends exchanged or coincident, no ellipse, strays, rims that cross or stand in the wrong order, one
// seen from above and the other from below the wrong way round. Empty where all is well.
Errors CheckRims(const RimMarks& rims);

// "its left end", "its near side", "its right end", "its point 4".
std::string NameOfRimPoint(size_t index);

// Length of the longer side of the box around the marks, px.
double PicturedSizePx(const RimMarks& rims);

}  // namespace wheatpaste
