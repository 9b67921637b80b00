// face_view.h - how the camera looks at a face, over its flat mm: its axes in space, and where a ray meets what stands
// above it.
//
// Model   with the unit ray r and the unit normal n towards the camera, a point that stands z mm above flat mm m + z w is
//         seen where m is marked:
//             w = r_tan / (r . n),   r_tan = r - (r . n) n,   in the face's own axes (mm of shift per mm of height)
//         The axes in space follow from how mm change along a pixel, J, and how the seen point moves along it, up to its
//         depth:  dP = depth (e / f - q (n . e / f) / (n . q)),  q = (x, y, 1) the ray;  axes = dP J^-1.
// Limit   near a limb w grows without bound: it is held at kMostShift.
// Source  derived here; bend_chart_test.cc checks it.
#pragma once

#include <array>
#include <optional>

#include <Eigen/Core>

#include "geometry/lens.h"
#include "surface/chart.h"
#include "surface/flat_grid.h"

namespace wheatpaste {

inline constexpr double kMostShift = 2.5;  // seen 22 degrees from along the face

struct FaceView {
  GridShape shape;                  // coarse: all of this changes slowly
  std::array<GridValues, 2> shift;  // w
  std::array<GridValues, 9> axes;   // camera from face, column by column: x, y, n

  Eigen::Vector2d ShiftAt(const SurfaceMm& mm) const;
  Eigen::Matrix3d AxesAt(const SurfaceMm& mm) const;
};

// Gives a picture with a projective map the mm of each pixel instead. Pixels beside the face keep 0.
// area  the face's bounds.
void StoreMm(ChartPicture& picture, const SurfaceMm& low, const SurfaceMm& high);

// True where the picture's mm at this pixel are set.
inline bool HoldsMm(const ChartPicture& picture, int64_t x, int64_t y) {
  return picture.mm.row(2, y)[x] * picture.mm.row(5, y)[x] !=
         picture.mm.row(3, y)[x] * picture.mm.row(4, y)[x];
}

// A grid over what the picture shows of the face: about `px_per_step` output px a step, at most `most_nodes` a side.
// None where it shows next to nothing.
std::optional<GridShape> GridOver(const ChartPicture& picture, const PrintArea& area,
                                  double px_per_step, int most_nodes);

// picture  with mm of each pixel.
// normals  of its region.
std::optional<FaceView> ViewFace(const ChartPicture& picture, const PrintArea& area,
                                 const Image<NormalPlanes>& normals, const Frame& frame,
                                 const Lens& lens);

}  // namespace wheatpaste
