// box_marks.h - the marked corners of a box: which arrangements of them no box can show.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "geometry/box.h"
#include "geometry/quad.h"
#include "scene/scene.h"

namespace wheatpaste {

// The faces of which all four corners are marked, as pictured, clockwise from the face's own top left.
struct WholeFace {
  int face = 0;
  Quad quad;
};
std::vector<WholeFace> WholeFacesOf(const BoxMarks& box);

// errors  fewer than five corners; corners that coincide; a face whose sides cross or whose corner points
//         inwards; a mirrored box; each at the corner's place where there is one.
Errors FindBoxFaults(const BoxMarks& box);

// An error at a marked corner: "surface.vertices.front_top_left = [x, y]".
Error CornerFault(const BoxVertex& vertex, const std::string& message);

// Says that the corners show the box mirrored, and which exchange of names turns it right.
Error MirroredBox(const BoxMarks& box);

}  // namespace wheatpaste
