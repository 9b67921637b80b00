#include "geometry/point_pose.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <opencv2/calib3d.hpp>

#include "base/check.h"
#include "geometry/decompose.h"

namespace wheatpaste {
namespace {

// Shares of the points' largest spread: less of a second spread is a line; less of a third is a plane; up to
// the last they are tried as a plane too, which a general pose may miss.
constexpr double kLeastSpread = 1e-6;
constexpr double kFlat = 1e-9;
constexpr double kNearlyFlat = 0.1;

// Points in a frame of their own axes, the largest spread 1: numbers near 1 whatever the unit.
struct OwnFrame {
  Eigen::Matrix3d axes;  // columns: object directions, the largest spread first
  Eigen::Vector3d centre;
  double scale = 1;
  Eigen::Vector3d spread;  // shares of the largest

  explicit OwnFrame(std::span<const ObjectPoint> points) {
    Eigen::MatrixX3d all(static_cast<Eigen::Index>(points.size()), 3);
    for (size_t i = 0; i < points.size(); ++i) {
      all.row(static_cast<Eigen::Index>(i)) = points[i].object.transpose();
    }
    centre = all.colwise().mean().transpose();
    all.rowwise() -= centre.transpose();
    const SingularValues svd = DecomposeSingular(all);
    axes = svd.right;
    if (axes.determinant() < 0) axes.col(2) = -axes.col(2);
    scale = svd.values(0) / std::sqrt(static_cast<double>(points.size()));
    spread = svd.values / svd.values(0);
  }

  Eigen::Vector3d FromObject(const Eigen::Vector3d& object) const {
    return axes.transpose() * (object - centre) / scale;
  }
  // The pose of the object, from one of this frame.
  Pose ObjectPose(const Eigen::Matrix3d& rotation, const Eigen::Vector3d& translation) const {
    Pose pose;
    pose.rotation = rotation * axes.transpose();
    pose.translation = scale * translation - pose.rotation * centre;
    return pose;
  }
};

struct Correspondence {
  Eigen::Vector3d object;  // own frame
  Eigen::Vector2d seen;    // photo, in focal lengths from the principal point
};

struct Candidate {
  Eigen::Matrix3d rotation;
  Eigen::Vector3d translation;
  double squares = 0;
};

// OpenCV's closed forms; nothing where it refuses the points.
void AddClosedForms(const std::vector<Correspondence>& pairs, cv::SolvePnPMethod method,
                    std::vector<Candidate>& candidates) {
  std::vector<cv::Point3d> object;
  std::vector<cv::Point2d> seen;
  for (const Correspondence& pair : pairs) {
    const double z = method == cv::SOLVEPNP_IPPE ? 0 : pair.object.z();
    object.emplace_back(pair.object.x(), pair.object.y(), z);
    seen.emplace_back(pair.seen.x(), pair.seen.y());
  }
  try {
    std::vector<cv::Mat> turns, shifts;
    cv::solvePnPGeneric(object, seen, cv::Mat::eye(3, 3, CV_64F), cv::noArray(), turns, shifts,
                        false, method);
    for (size_t i = 0; i < turns.size(); ++i) {
      const Eigen::Vector3d turn(turns[i].at<double>(0), turns[i].at<double>(1),
                                 turns[i].at<double>(2));
      Candidate candidate;
      candidate.rotation = Pose::FromNumbers({turn.x(), turn.y(), turn.z(), 0, 0, 0}).rotation;
      candidate.translation = {shifts[i].at<double>(0), shifts[i].at<double>(1),
                               shifts[i].at<double>(2)};
      if (candidate.rotation.allFinite() && candidate.translation.allFinite()) {
        candidates.push_back(candidate);
      }
    }
  } catch (const cv::Exception&) {
    // It refuses points that fix no pose: then there is no candidate.
  }
}

// Sum of squared distances; infinite where a point is not before the camera.
double SquaresOf(const std::vector<Correspondence>& pairs, const Candidate& candidate) {
  double squares = 0;
  for (const Correspondence& pair : pairs) {
    const Eigen::Vector3d p = candidate.rotation * pair.object + candidate.translation;
    if (!(p.z() > 0)) return std::numeric_limits<double>::infinity();
    squares += (p.head<2>() / p.z() - pair.seen).squaredNorm();
  }
  return squares;
}

// Levenberg-Marquardt on a small turn before the rotation and the translation.
// returns  false where the points leave a motion of the object unseen.
bool Refine(const std::vector<Correspondence>& pairs, Candidate& best) {
  using Matrix6 = Eigen::Matrix<double, 6, 6>;
  using Vector6 = Eigen::Matrix<double, 6, 1>;
  constexpr int kMostSteps = 100;
  constexpr double kLeastStep = 1e-15, kLeastCurvature = 1e-14;
  best.squares = SquaresOf(pairs, best);
  if (!std::isfinite(best.squares)) return false;
  double damping = 1e-6;
  Matrix6 curvature;
  for (int step = 0; step < kMostSteps; ++step) {
    curvature.setZero();
    Vector6 slope = Vector6::Zero();
    for (const Correspondence& pair : pairs) {
      const Eigen::Vector3d turned = best.rotation * pair.object;
      const Eigen::Vector3d p = turned + best.translation;
      Eigen::Matrix<double, 2, 3> seen_from_camera;
      seen_from_camera << 1 / p.z(), 0, -p.x() / (p.z() * p.z()), 0, 1 / p.z(),
          -p.y() / (p.z() * p.z());
      Eigen::Matrix3d cross;
      cross << 0, -turned.z(), turned.y(), turned.z(), 0, -turned.x(), -turned.y(), turned.x(), 0;
      Eigen::Matrix<double, 2, 6> change;
      change << -seen_from_camera * cross, seen_from_camera;
      curvature += change.transpose() * change;
      slope += change.transpose() * (p.head<2>() / p.z() - pair.seen);
    }
    Matrix6 damped = curvature;
    damped.diagonal() *= 1 + damping;
    const Vector6 move = -damped.ldlt().solve(slope);
    if (!move.allFinite()) return false;
    Candidate next;
    const double angle = move.head<3>().norm();
    next.rotation = best.rotation;
    if (angle > 0) {
      next.rotation =
          Eigen::AngleAxisd(angle, move.head<3>() / angle).toRotationMatrix() * best.rotation;
    }
    next.translation = best.translation + move.tail<3>();
    next.squares = SquaresOf(pairs, next);
    if (next.squares < best.squares) {
      best = next;
      damping = std::max(damping / 10, 1e-15);
    } else {
      damping *= 10;
    }
    if (move.norm() < kLeastStep * (1 + best.translation.norm()) || damping > 1e12) break;
  }
  best.rotation = Eigen::Quaterniond(best.rotation).normalized().toRotationMatrix();
  // Symmetric and not negative: its singular values are its eigenvalues.
  const Eigen::VectorXd curvatures = DecomposeSingular(curvature).values;
  return curvatures(5) > kLeastCurvature * curvatures(0);
}

}  // namespace

std::vector<Pose> PosesFromPoints(std::span<const ObjectPoint> points, double focal_px,
                                  PhotoPx principal) {
  WHEATPASTE_CHECK_OP(points.size(), >=, size_t{4});
  const OwnFrame frame(points);
  if (!(frame.scale > 0) || !(frame.spread(1) > kLeastSpread)) return {};
  std::vector<Correspondence> pairs;
  for (const ObjectPoint& point : points) {
    pairs.push_back(
        {frame.FromObject(point.object), (point.photo.vector() - principal.vector()) / focal_px});
  }
  std::vector<Candidate> candidates;
  if (frame.spread(2) < kNearlyFlat) AddClosedForms(pairs, cv::SOLVEPNP_IPPE, candidates);
  if (frame.spread(2) > kFlat) AddClosedForms(pairs, cv::SOLVEPNP_SQPNP, candidates);

  std::vector<Candidate> refined;
  for (Candidate& candidate : candidates) {
    if (!Refine(pairs, candidate)) continue;
    // Two starts that end in one place count once.
    constexpr double kSame = 1e-6;
    const bool known = std::any_of(refined.begin(), refined.end(), [&](const Candidate& other) {
      return (other.rotation - candidate.rotation).norm() < kSame;
    });
    if (!known) refined.push_back(candidate);
  }
  std::stable_sort(refined.begin(), refined.end(),
                   [](const Candidate& a, const Candidate& b) { return a.squares < b.squares; });
  std::vector<Pose> poses;
  for (const Candidate& candidate : refined) {
    poses.push_back(frame.ObjectPose(candidate.rotation, candidate.translation));
  }
  return poses;
}

}  // namespace wheatpaste
