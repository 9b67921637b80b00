// write_blank.h - the flat print blank of a cylinder or cone as an SVG, true to scale.
//
// Model   the whole flat pattern (geometry/frustum.h) as one closed outline of arcs and straight sides, nothing
//         inside it. The page is the outline's bounds; width and height in mm, one user unit to the mm, coordinates
//         the surface's own mm. So without bleed the page is the surface's print area: artwork drawn on it and
//         placed with fit = "stretch" falls into place. With bleed the page is larger: `width` and `at` of that
//         placement stand in the file's description.
#pragma once

#include <string>

#include "scene/scene.h"

namespace wheatpaste {

// bleed_mm  how far the outline is moved outwards on all sides, 0 or more; along the sides of a sector held to what
//           fits between them and around the apex.
// title     any text.
// shape     where both diameters agree: whose origin the coordinates have (PatternOf, mark_rims.h).
std::string BlankSvg(const RimMarks& rims, double bleed_mm, const std::string& title,
                     Shape shape = Shape::kCylinder);

}  // namespace wheatpaste
