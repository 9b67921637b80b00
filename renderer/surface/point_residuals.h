// point_residuals.h - marked points of a rigid object as residuals for the camera's fit (marked_shape.h).
#pragma once

#include <memory>
#include <vector>

#include "geometry/point_pose.h"

namespace ceres {
class CostFunction;
}

namespace wheatpaste {

// Two residuals a point, photo px; blocks: log focal (1), pose (6). A point behind the camera fails.
std::unique_ptr<ceres::CostFunction> PointResiduals(std::vector<ObjectPoint> points,
                                                    PhotoPx principal);

// Root mean square and largest distance in the photo, and which point that is.
struct PointDistances {
  double rms_px = 0, largest_px = 0;
  size_t largest_index = 0;
};
PointDistances DistancesOf(const std::vector<ObjectPoint>& points, const Pose& pose,
                           double focal_px, PhotoPx principal);

}  // namespace wheatpaste
