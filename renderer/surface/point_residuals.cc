#include "surface/point_residuals.h"

#include <cmath>
#include <utility>

#include <ceres/dynamic_autodiff_cost_function.h>

#include "surface/point_distance.h"

namespace wheatpaste {
namespace {

struct MarkedPoints {
  std::vector<ObjectPoint> points;
  PhotoPx principal;

  template <typename T>
  bool operator()(T const* const* blocks, T* residuals) const {
    using std::exp;
    const T focal = exp(blocks[0][0]);
    const T* pose = blocks[1];
    for (size_t i = 0; i < points.size(); ++i) {
      const Eigen::Vector3d& o = points[i].object;
      const T object[3] = {T(o.x()), T(o.y()), T(o.z())};
      if (!PointDistance(focal, pose, object, principal, points[i].photo, residuals + 2 * i)) {
        return false;
      }
    }
    return true;
  }
};

}  // namespace

std::unique_ptr<ceres::CostFunction> PointResiduals(std::vector<ObjectPoint> points,
                                                    PhotoPx principal) {
  const auto count = static_cast<int>(2 * points.size());
  auto cost = std::make_unique<ceres::DynamicAutoDiffCostFunction<MarkedPoints, 7>>(
      new MarkedPoints{std::move(points), principal});
  cost->AddParameterBlock(1);
  cost->AddParameterBlock(6);
  cost->SetNumResiduals(count);
  return cost;
}

PointDistances DistancesOf(const std::vector<ObjectPoint>& points, const Pose& pose,
                           double focal_px, PhotoPx principal) {
  PointDistances distances;
  double squares = 0;
  for (size_t i = 0; i < points.size(); ++i) {
    const Eigen::Vector3d p = pose.CameraFromObject(points[i].object);
    const double distance =
        (focal_px * p.head<2>() / p.z() + principal.vector() - points[i].photo.vector()).norm();
    squares += distance * distance;
    if (distance > distances.largest_px) {
      distances.largest_px = distance;
      distances.largest_index = i;
    }
  }
  distances.rms_px = std::sqrt(squares / static_cast<double>(points.size()));
  return distances;
}

}  // namespace wheatpaste
