// rim_starts.h - where a cylinder or cone may stand, from its marked rims and a focal length, near enough for a fit.
//
// Model   the rays through the middles of the rims' ends hold the axis. For each of a ladder of tilts the axis of
//         known height is hung between the two rays, or at the distance that the rims' widths tell; the residuals
//         (rim_residuals.h) choose. Both ways, since the first fails where the rays nearly agree, the second where
//         the tilt changes the widths.
// Source  derived here; mark_rims_test.cc fits from them over all tilts, rolls and focal lengths.
#pragma once

#include <vector>

#include "scene/scene.h"
#include "surface/marked_shape.h"

namespace wheatpaste {

// At most kMostRimStarts, best first; none where no tilt puts both rims before the camera.
inline constexpr size_t kMostRimStarts = 5;
std::vector<ShapeParameters> RimStarts(const RimMarks& rims, double focal_px, PhotoPx principal);

}  // namespace wheatpaste
