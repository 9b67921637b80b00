// rim_residuals.h - marks on two pictured rims as residuals for the camera's fit (marked_shape.h).
//
// Model   each rim's extremes as pictured (geometry/conic.h) against the marks: the leftmost point, the extreme of
//         the near arc, the rightmost point. Off the curve a mark is good to s = kMarkingErrorPx. Along it an
//         extreme is told only where the curve leaves its tangent by s, which is at sqrt(2 radius s) with the
//         curve's radius there: that is the mark's standard deviation along the tangent, held between s and a
//         quarter of the rim's width. Further points: their distance from the curve to first order (Sampson 1982).
//         The near arc of the model is on the side where the point of the rim nearest to the camera is pictured, so
//         that a rim seen from above never passes for one seen from below.
// Frame   object mm: origin at the centre of the top rim, y down the axis. A turn about the axis changes nothing:
//         the pose's six numbers hold one too many.
#pragma once

#include <array>
#include <memory>
#include <vector>

#include "scene/scene.h"
#include "surface/marked_shape.h"

namespace wheatpaste {

// Lengths that are fitted rather than taken from the scene, as logarithms in ShapeParameters::extra.
enum class FreeLengths { kNone, kHeight, kHeightAndBottom };
int CountOf(FreeLengths free);
// `rims` with its free lengths from a fit.
RimMarks WithLengths(const RimMarks& rims, FreeLengths free, const std::vector<double>& extra);

// Blocks: log focal (1), pose (6), and the free lengths where there are any. A rim that is not wholly before the
// camera fails.
std::unique_ptr<ceres::CostFunction> RimResiduals(const RimMarks& rims, PhotoPx principal,
                                                  FreeLengths free);

// Standard deviation of the first three marks along the rim, px.
std::array<double, 3> TangentErrors(const MarkedRim& rim);

// How far marks lie from the rims as fitted. A slip along the rim counts by kMarkingErrorPx over its standard
// deviation.
struct RimMisses {
  bool possible = false;  // false: the rims are not before the camera, the rest is empty
  double rms_px = 0, largest_px = 0;
  bool largest_on_top = true;
  size_t largest_index = 0;
  std::vector<PhotoPx>
      extremes;  // as fitted: left, near, right of the top rim, then of the bottom rim
};
RimMisses MissesOf(const RimMarks& rims, const std::array<double, 6>& pose, double focal_px,
                   PhotoPx principal);

}  // namespace wheatpaste
