// find_panels.h - panels and creases of a blank from its lines.
//
// Model   faces of the plane graph (split_lines.h), walked by half-edges, each time the next edge clockwise. Faces that creases join are one
//         blank; what lies within it and is joined by cuts only is a hole; a cut that ends inside a panel is a slit, which
//         needs nothing. A crease may be broken (perforated, or around a window): its pieces between two panels are one hinge.
// Names   a panel is called what its drawing names at a point in it; the others panel_1, panel_2, ... by place.
// Source  derived here: tests/dieline/find_panels_test.cc.
#pragma once

#include "dieline/dieline.h"

namespace wheatpaste {

inline constexpr double kCreaseStraightMm = 0.2;  // pieces of one crease lie that near to its line

// where   of the scene key, for messages; they say the place on the flat in mm.
// errors  an open outline, a crease with no panel beside it, creases that are not straight or close a ring, parts that do not
//         hang together, a name twice.
Result<Dieline> FindPanels(const DielineDrawing& drawing, const Placed<std::string>& where);

}  // namespace wheatpaste
