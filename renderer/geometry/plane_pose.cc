#include "geometry/plane_pose.h"

#include <cmath>

#include <Eigen/Dense>
#include <ceres/ceres.h>
#include <ceres/rotation.h>

namespace wheatpaste {
namespace {

struct PoseReprojection {
  PointPair pair;
  double focal_px;
  Eigen::Vector2d principal;
  template <typename T>
  bool operator()(const T* angle_axis, const T* translation, T* residual) const {
    const T point[3] = {T(pair.source.x()), T(pair.source.y()), T(0)};
    T p[3];
    ceres::AngleAxisRotatePoint(angle_axis, point, p);
    for (int i = 0; i < 3; ++i) p[i] += translation[i];
    residual[0] = focal_px * p[0] / p[2] + principal.x() - pair.target.x();
    residual[1] = focal_px * p[1] / p[2] + principal.y() - pair.target.y();
    return true;
  }
};

}  // namespace

std::optional<PlanePose> FitPlanePose(std::span<const PointPair> pairs,
                                      const Eigen::Matrix3d& photo_from_surface, double focal_px,
                                      PhotoPx principal) {
  Eigen::Matrix3d camera;
  camera << focal_px, 0, principal.x, 0, focal_px, principal.y, 0, 0, 1;
  Eigen::Matrix3d columns = camera.inverse() * photo_from_surface;
  const double length = std::sqrt(columns.col(0).norm() * columns.col(1).norm());
  if (!(length > 0)) return std::nullopt;
  columns /= length;
  if (columns(2, 2) < 0) columns = -columns;
  Eigen::Matrix3d axes;
  axes << columns.col(0), columns.col(1), columns.col(0).cross(columns.col(1));
  const Eigen::JacobiSVD<Eigen::Matrix3d> svd(axes, Eigen::ComputeFullU | Eigen::ComputeFullV);
  Eigen::Matrix3d rotation = svd.matrixU() * svd.matrixV().transpose();
  if (rotation.determinant() < 0) return std::nullopt;
  Eigen::Vector3d translation = columns.col(2);

  Eigen::Vector3d angle_axis;
  ceres::RotationMatrixToAngleAxis(rotation.data(), angle_axis.data());
  ceres::Problem problem;
  for (const PointPair& pair : pairs) {
    problem.AddResidualBlock(new ceres::AutoDiffCostFunction<PoseReprojection, 2, 3, 3>(
                                 new PoseReprojection{pair, focal_px, principal.vector()}),
                             nullptr, angle_axis.data(), translation.data());
  }
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.logging_type = ceres::SILENT;
  options.max_num_iterations = 200;
  options.function_tolerance = 1e-12;
  options.num_threads = 1;
  // Refused steps end by growing too small; by their count the library would print it.
  options.max_num_consecutive_invalid_steps = 1000;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  if (!summary.IsSolutionUsable()) return std::nullopt;

  PlanePose pose;
  ceres::AngleAxisToRotationMatrix(angle_axis.data(), pose.camera_from_surface.data());
  pose.origin_mm = translation;
  double sum = 0;
  for (size_t i = 0; i < pairs.size(); ++i) {
    const Eigen::Vector3d p =
        pose.camera_from_surface * Eigen::Vector3d(pairs[i].source.x(), pairs[i].source.y(), 0) +
        translation;
    if (!(p.z() > 0)) return std::nullopt;
    const Eigen::Vector2d seen = focal_px * p.head<2>() / p.z() + principal.vector();
    const double distance = (seen - pairs[i].target).norm();
    sum += distance * distance;
    if (distance > pose.largest_px) {
      pose.largest_px = distance;
      pose.largest_index = i;
    }
  }
  pose.residual_px = std::sqrt(sum / static_cast<double>(pairs.size()));
  return pose;
}

}  // namespace wheatpaste
