// fold_solid.h - a folded blank as a solid of board: outside, inside and cut edges.
//
// Model   panels in convex pieces (panel_cells.h), cut again along the bends of their creases; at a bend of a right angle
//         kBendPieces chords with the arc's normals. Where two bends meet in a panel's corner, the crease that folds first
//         takes it and the other begins beside it, as board does that is cut there. The inside lies a board's thickness
//         under the outside; where the outside has an edge that no neighbour continues, a strip of the board's edge stands.
// Pose    object mm (geometry/solid.h): lowest point y = 0, middle of the bounds x = z = 0, the front towards +z. A flat blank stands
//         in the plane z = 0 as its front stands.
// Charts  one a panel, on the page of the drawing (sheet mm = flat mm), its print going on over creases. Faces: "flat", the whole page;
//         each panel by name, upright as its name is, its upper left corner (0, 0).
// Parts   "outside", "inside", "edges".
#pragma once

#include "dieline/fold.h"
#include "geometry/solid.h"

namespace wheatpaste {

inline constexpr int kBendPieces = 8;

Solid FoldSolid(const FoldPlan& plan, const std::vector<double>& angles);

}  // namespace wheatpaste
