// distance_map.h - how far every pixel of a drawing lies from the edge of its own part.
//
// Model   d(p) = min over edge pixels q of |p - q|, plus half a px; an edge pixel has a side neighbour of another part.
//         Exact Euclidean, by one lower envelope of parabolas for each column and then each row. The drawing's own
//         border is no edge. Without any edge: infinity.
// Source  P. F. Felzenszwalb, D. P. Huttenlocher 2012, Theory of Computing 8, 415-428, doi:10.4086/toc.2012.v008a019.
#pragma once

#include "brand/flat_drawing.h"
#include "image/image.h"

namespace wheatpaste {

// returns  px, of the drawing's size.
Image<Coverage> DistanceToEdge(const FlatDrawing& drawing);

}  // namespace wheatpaste
