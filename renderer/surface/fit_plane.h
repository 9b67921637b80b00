// fit_plane.h - a plane of the scene to the map from its mm to the photo, checked against the camera.
//
// Model   four corners fix the map exactly; more marks are fitted by least squares (homography.h). With
//         a size, the rectangle is also held against the camera (plane_pose.h) and told when it does
//         not fit. Without, the aspect ratio is solved (quad.h), and width counts as kUnsizedWidthMm.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/rect.h"
#include "geometry/coords.h"
#include "geometry/quad.h"
#include "scene/scene.h"
#include "surface/camera.h"

namespace wheatpaste {

// Width of a surface whose size the scene leaves out; its mm are then only proportions.
inline constexpr double kUnsizedWidthMm = 1000;
// Marks that miss the camera's view of the rectangle by more than this are worth a warning. Four
// times what marking by hand explains.
inline constexpr double kPoorFitPx = 2.0;

// A solved aspect ratio less certain than this share of itself is worth a warning.
inline constexpr double kMostAspectUncertainty = 0.05;

struct FittedPlane {
  Map<PhotoPx, SurfaceMm> photo_from_surface;
  SurfaceMm size;  // mm
  bool size_known = false;
  Estimate aspect;  // width / height; sd 0 where the size is given
  Quad outline;     // the corners as fitted, photo px
  // Root mean square distance of the marks, px: from the camera's view of the rectangle where its size and,
  // given or solved, the focal length are known, else from the fitted map.
  double residual_px = 0;
  std::vector<std::string> warnings;  // plain words, without the surface's name
};

// What no camera could make of the surface's marks: crossed, mirrored, dented, flat or coincident corners; marks
// that fix no plane; at the place of `corners` or `marks`.
std::optional<Error> FindPlaneFault(const Surface& surface);

// The rectangle's corners by the map through the marks. The marks have no fault.
Quad PicturedOutline(const Surface& surface);

// The warning that an aspect ratio deserves; "" for none.
std::string UncertainAspect(const Estimate& aspect);

// errors  those of FindPlaneFault; an aspect ratio that cannot be solved; a surface that lies outside the photo;
//         at the place of `corners` or `marks`.
Result<FittedPlane> FitPlane(const Surface& surface, SizePx photo_size, const Camera& camera);

}  // namespace wheatpaste
