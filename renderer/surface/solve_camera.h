// solve_camera.h - the camera behind the photo and the pose of every surface before it, solved together.
//
// Model   one camera for all surfaces of a scene. The focal length is the scene's, else EXIF's, else fitted
//         with all poses at once from every mark that constrains it (marked_shape.h), else a stated default
//         where the marks leave it more uncertain than kMostFocalUncertainty. Starts: what the shapes' closed
//         forms give and a fixed ladder of focal lengths; the best by residual wins.
// Uncertainty  covariance (J^T J)^+ kMarkingErrorPx^2 at the solution (first order).
#pragma once

#include <vector>

#include "base/error.h"
#include "base/rect.h"
#include "scene/scene.h"
#include "surface/camera.h"
#include "surface/fitted_surface.h"

namespace wheatpaste {

struct SolvedSurfaces {
  Camera camera;
  std::vector<FittedSurface> surfaces;  // one for each of the scene's, in its order
};

// exif_focal_35mm  0 where the photo does not say.
// errors  of every surface whose marks are impossible, at their places.
Result<SolvedSurfaces> SolveCamera(const Photo& photo, SizePx photo_size, double exif_focal_35mm,
                                   const std::vector<Surface>& surfaces);

}  // namespace wheatpaste
