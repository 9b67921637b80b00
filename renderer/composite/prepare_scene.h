// prepare_scene.h - all of a picture that does not depend on the artwork, found once per scene and size.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "image/bitmap.h"
#include "light/base_picture.h"
#include "light/shading.h"
#include "scene/scene.h"
#include "surface/camera.h"
#include "surface/fit_plane.h"
#include "surface/frame.h"
#include "surface/visibility.h"

namespace wheatpaste {

// The photo and the geometry behind it: what `check` needs.
struct SolvedScene {
  Scene scene;
  Bitmap photo;
  Camera camera;
  std::vector<FittedPlane> planes;  // one for each surface of the scene
};

// errors  the photo cannot be read; a surface's marks make no plane.
Result<SolvedScene> SolveScene(Scene scene);

struct PreparedSurface {
  Map<OutputPx, SurfaceMm> output_from_surface;
  Visibility visibility;
  std::optional<Shading> shading;  // where some placement hides the substrate
};

struct PreparedScene {
  SolvedScene solved;
  Frame frame;
  BasePicture base;
  std::vector<PreparedSurface> surfaces;
};

// size    of the picture; none: the photo's own.
// errors  a matte cannot be used.
Result<PreparedScene> PrepareScene(SolvedScene solved, std::optional<SizePx> size);

}  // namespace wheatpaste
