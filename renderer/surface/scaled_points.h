// scaled_points.h - marked points of an object that is known but for some of its three lengths.
//
// Model   object mm = shares * lengths along x, y, z; an unknown length is the exponential of one of the
//         shape's extra numbers (marked_shape.h), so that it stays positive.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "geometry/point_pose.h"

namespace ceres {
class CostFunction;
}

namespace wheatpaste {

struct ScaledPoint {
  Eigen::Vector3d shares;
  PhotoPx photo;  // lens distortion taken out
};

using Lengths = std::array<double, 3>;                      // mm
using KnownLengths = std::array<std::optional<double>, 3>;  // none: unknown

int UnknownCount(const KnownLengths& known);
// extra  one logarithm for each unknown length, in order.
Lengths LengthsOf(const KnownLengths& known, std::span<const double> extra);
std::vector<double> ExtraOf(const KnownLengths& known, const Lengths& lengths);

std::vector<ObjectPoint> ObjectPointsOf(std::span<const ScaledPoint> points,
                                        const Lengths& lengths);

// Two residuals a point, photo px; blocks: log focal (1), pose (6) and, where a length is unknown, extra.
std::unique_ptr<ceres::CostFunction> ScaledPointResiduals(std::vector<ScaledPoint> points,
                                                          const KnownLengths& known,
                                                          PhotoPx principal);

}  // namespace wheatpaste
