// framed_part.h - the part of the photo that a scene's frame says must be seen.
//
// Model   a rectangle as it stands; of a surface the bounds of all of its faces that the photo shows, by its geometry
//         alone, found in a small picture (to one part in kProbeSidePx of the photo's larger side), with the margin
//         around them. What of it lies beyond the photo is left out.
#pragma once

#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "surface/fitted_surface.h"
#include "surface/frame.h"

namespace wheatpaste {

// surfaces  of the scene, solved.
// errors    at the frame's place: nothing of it lies within the photo.
Result<SourceWindow> FindFramedPart(const FramedPart& frame,
                                    const std::vector<FittedSurface>& surfaces, SizePx photo);

}  // namespace wheatpaste
