#include "geometry/homography.h"

#include <cmath>

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <ceres/ceres.h>

#include "base/check.h"
#include "geometry/decompose.h"

namespace wheatpaste {
namespace {

// Moves the centroid to 0 and the mean distance from it to sqrt 2.
Eigen::Matrix3d NormalisingMap(const std::vector<Eigen::Vector2d>& points) {
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();
  for (const auto& p : points) centre += p;
  centre /= static_cast<double>(points.size());
  double distance = 0;
  for (const auto& p : points) distance += (p - centre).norm();
  distance /= static_cast<double>(points.size());
  const double scale = distance > 0 ? std::sqrt(2.0) / distance : 1;
  Eigen::Matrix3d map;
  map << scale, 0, -scale * centre.x(), 0, scale, -scale * centre.y(), 0, 0, 1;
  return map;
}

Eigen::Vector2d Apply(const Eigen::Matrix3d& map, const Eigen::Vector2d& p) {
  return (map * p.homogeneous()).hnormalized();
}

struct Reprojection {
  PointPair pair;
  template <typename T>
  bool operator()(const T* h, T* residual) const {
    const T x(pair.source.x()), y(pair.source.y());
    const T w = h[6] * x + h[7] * y + h[8];
    residual[0] = (h[0] * x + h[1] * y + h[2]) / w - T(pair.target.x());
    residual[1] = (h[3] * x + h[4] * y + h[5]) / w - T(pair.target.y());
    return true;
  }
};

void Refine(const std::vector<PointPair>& pairs, Eigen::Matrix3d& map) {
  Eigen::Matrix<double, 3, 3, Eigen::RowMajor> h = map / map.norm();
  ceres::Problem problem;
  for (const PointPair& pair : pairs) {
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Reprojection, 2, 9>(new Reprojection{pair}), nullptr,
        h.data());
  }
  // The scale of H is free: keep its length.
  problem.SetManifold(h.data(), new ceres::SphereManifold<9>());
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.logging_type = ceres::SILENT;
  options.max_num_iterations = 100;
  options.function_tolerance = 1e-14;
  options.parameter_tolerance = 1e-14;
  options.num_threads = 1;
  // Refused steps end by growing too small; by their count the library would print it.
  options.max_num_consecutive_invalid_steps = 1000;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  if (summary.IsSolutionUsable()) map = h;
}

}  // namespace

std::optional<HomographyFit> FitHomography(std::span<const PointPair> pairs) {
  WHEATPASTE_CHECK_OP(pairs.size(), >=, size_t{4});
  std::vector<Eigen::Vector2d> sources, targets;
  for (const PointPair& pair : pairs) {
    sources.push_back(pair.source);
    targets.push_back(pair.target);
  }
  const Eigen::Matrix3d normal_source = NormalisingMap(sources);
  const Eigen::Matrix3d normal_target = NormalisingMap(targets);

  std::vector<PointPair> normal;
  Eigen::Matrix<double, Eigen::Dynamic, 9> rows(2 * static_cast<Eigen::Index>(pairs.size()), 9);
  for (size_t i = 0; i < pairs.size(); ++i) {
    const Eigen::Vector2d s = Apply(normal_source, pairs[i].source);
    const Eigen::Vector2d t = Apply(normal_target, pairs[i].target);
    normal.push_back({s, t});
    const auto row = 2 * static_cast<Eigen::Index>(i);
    rows.row(row) << s.x(), s.y(), 1, 0, 0, 0, -t.x() * s.x(), -t.x() * s.y(), -t.x();
    rows.row(row + 1) << 0, 0, 0, s.x(), s.y(), 1, -t.y() * s.x(), -t.y() * s.y(), -t.y();
  }
  const SingularValues svd = DecomposeSingular(rows);
  // Eight directions must be fixed; where the eighth is not, the points do not say enough.
  if (svd.values(7) < 1e-9 * svd.values(0)) return std::nullopt;
  const Eigen::Matrix<double, 9, 1> h = svd.right.col(8);
  Eigen::Matrix3d map;
  map << h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), h(8);
  if (std::abs(map.determinant()) < 1e-12) return std::nullopt;
  if (pairs.size() > 4) Refine(normal, map);

  Eigen::Matrix3d whole = normal_target.inverse() * map * normal_source;
  whole /= whole.cwiseAbs().maxCoeff();
  // One sign for the third coordinate over the points: what is in front of the camera is positive.
  if (whole.row(2).dot(pairs[0].source.homogeneous()) < 0) whole = -whole;
  HomographyFit fit{whole, 0};
  for (const PointPair& pair : pairs) {
    if (whole.row(2).dot(pair.source.homogeneous()) <= 0) return std::nullopt;
    fit.residual += (Apply(whole, pair.source) - pair.target).squaredNorm();
  }
  fit.residual = std::sqrt(fit.residual / static_cast<double>(pairs.size()));
  if (!std::isfinite(fit.residual)) return std::nullopt;
  return fit;
}

}  // namespace wheatpaste
