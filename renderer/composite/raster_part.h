// raster_part.h - the part of an artwork's raster that a picture reads.
#pragma once

#include <Eigen/Core>

#include "artwork/artwork.h"
#include "composite/prepare_artwork.h"
#include "image/elliptical_average.h"

namespace wheatpaste {

// What the seen pixels of a picture read of a placement's raster.
// surface  of its placement, with the picture's charts.
// ready    laid out and placed on the whole raster.
FootprintReach ReachIn(const PreparedSurface& surface, const PreparedArtwork& ready);

// Px of the raster, cut where px of its pyramid's levels end, up to the deepest that is read; empty: nothing is read.
// margin  px more on each side, across and down.
RectPx PartRead(const FootprintReach& reach, SizePx raster, const Eigen::Vector2d& margin);

// Raster px about what is read that the placement's finishes look at too, across and down.
// placed  its size, mm.
Eigen::Vector2d FinishMargin(const Placement& placement, const SurfaceMm& placed, SizePx raster);

// Edges of the pyramid of a part: beyond a cut nothing is ever read, so that side counts as going on.
Edges EdgesOf(const RasterPart& at, const Edges& bleeds);

}  // namespace wheatpaste
