// solids.h - the program's own solids, each in the file solid_<name>.cc.
//
// Axes    object mm (geometry/solid.h): each stands on y = 0, its middle at x = z = 0, its front towards +z, unless it says otherwise.
// Sizes   as scene/stage.h, checked by the reader; what exceeds what can be built is held at what can, with a warning in
//         Solid::warnings.
// Faces   mm are true lengths on the thing as it is made, before rounding by chords; each says what it leaves out.
#pragma once

#include "base/error.h"
#include "geometry/solid.h"
#include "scene/stage.h"

namespace wheatpaste {

// Its back in z = 0, its front in z = thickness. Faces "front" and "back" (its left edge is the sheet's right edge), parts "body",
// "edge", "cord". Curled corners roll up about lines across them, with a curvature that grows from nothing: no length changes on
// the front. The hole lies near the top; what it cuts out is on no chart.
Solid BuildSolid(const SheetSolid& sheet);

// In z = 0, facing +z. One face "". Part "body".
Solid BuildSolid(const WallSolid& wall);
// In y = 0. One face "" as whoever stands in front looks down on it.
Solid BuildSolid(const FloorSolid& floor);
// The floor's front edge at z = depth / 2, the wall at z = -depth / 2. One face "", from the top of the wall to the front edge of the floor, unrolled.
Solid BuildSolid(const SweepSolid& sweep);

// Faces "front", "back", "left", "right", "top", "bottom", each up to the middle of its rounded edges, whose arcs count as they are
// long; lengths are true but for the eight corners. Part "body".
Solid BuildSolid(const BlockSolid& block);

// A tube of board, its caps set in. Faces "wrap" (`shape = "cylinder"`) and "lid"; parts "body", "cap".
Solid BuildSolid(const TubeSolid& tube);

// Face "wrap" (`shape = "cone"`, or "cylinder" where both diameters agree), up to where the rim is rolled; parts "body", "rim", "inside",
// "base", "lid".
Solid BuildSolid(const CupSolid& cup);

// Face "wrap": the straight wall (`shape = "cylinder"`) with what runs on over the necks as it was printed before they were drawn in:
// mm down are true, mm around shrink with the metal there. Parts "body", "end", "tab".
Solid BuildSolid(const CanSolid& can);

// Canvas come to rest (tote_cloth.h says what is kept of lengths). Hung, its handles lie side by side over a peg of 26 mm along z, whose top is
// `handle` above the rim; the rim is at y = height. Faces "front", "back", with a gusset "right", "left", "bottom"; parts "body", "inside",
// "handles", "thread". Relief of seams and folds and the thickness of edges come on top: single cells of 2.2 mm there differ by more.
Solid BuildSolid(const ToteSolid& tote);

// Faces "front", "back", "left", "right", whole, with what is folded under the rim not among them; parts "body", "inside", "handles",
// "patch". Closed but for the patches, whose borders lie in the paper.
Solid BuildSolid(const PaperBagSolid& bag);

// errors  as geometry/read_obj.h.
Result<Solid> MakeMeshSolid(const MeshSolid& mesh);

}  // namespace wheatpaste
