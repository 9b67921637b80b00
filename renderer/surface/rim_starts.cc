#include "surface/rim_starts.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <Eigen/Dense>
#include <ceres/cost_function.h>

#include "base/units.h"
#include "surface/rim_residuals.h"

namespace wheatpaste {
namespace {

constexpr double kMostTilt = 88, kTiltStep = 4;  // degrees
// Off the line of the middles: a wide camera pictures a circle's middle aside from that of its ends.
constexpr double kRolls[] = {-30, -15, 0, 15, 30};

struct Tried {
  ShapeParameters parameters;
  double cost = 0;
};

Pose PoseOf(const Eigen::Vector3d& centre, const Eigen::Vector3d& axis) {
  // Any turn about the axis serves.
  Eigen::Vector3d right = axis.cross(Eigen::Vector3d::UnitZ());
  if (!(right.norm() > 1e-9)) right = Eigen::Vector3d::UnitX();
  right.normalize();
  Pose pose;
  pose.rotation << right, axis, right.cross(axis);
  pose.translation = centre;
  return pose;
}

}  // namespace

std::vector<ShapeParameters> RimStarts(const RimMarks& rims, double focal_px, PhotoPx principal) {
  const auto ray = [&](const MarkedRim& rim) {
    const Eigen::Vector2d middle = (rim.points[0].vector() + rim.points[2].vector()) / 2;
    return Eigen::Vector3d((middle.x() - principal.x) / focal_px,
                           (middle.y() - principal.y) / focal_px, 1);
  };
  const auto depth = [&](const MarkedRim& rim, double diameter) {
    return focal_px * diameter / (rim.points[2].vector() - rim.points[0].vector()).norm();
  };
  const Eigen::Vector3d top = ray(rims.top), bottom = ray(rims.bottom);
  const double top_depth = depth(rims.top, rims.diameter_top);
  const double bottom_depth = depth(rims.bottom, rims.diameter_bottom);
  // In the plane of the two rays: away from the camera, and down the picture.
  const Eigen::Vector3d away = (top.normalized() + bottom.normalized()).normalized();
  Eigen::Vector3d down = bottom / bottom.z() - top / top.z();
  down -= away * away.dot(down);
  if (!(down.norm() > 1e-12)) down = Eigen::Vector3d::UnitY() - away * away.y();
  down.normalize();

  const auto residuals = RimResiduals(rims, principal, FreeLengths::kNone);
  std::vector<double> rows(static_cast<size_t>(residuals->num_residuals()));
  const double log_focal = std::log(focal_px);
  std::vector<Tried> tried;
  const auto attempt = [&](const Eigen::Vector3d& centre, const Eigen::Vector3d& axis) {
    if (!centre.allFinite() || !(centre.z() > 0)) return;
    Tried one;
    one.parameters.pose = PoseOf(centre, axis).Numbers();
    const double* blocks[] = {&log_focal, one.parameters.pose.data()};
    if (!residuals->Evaluate(blocks, rows.data(), nullptr)) return;
    for (const double row : rows) one.cost += row * row;
    if (std::isfinite(one.cost)) tried.push_back(one);
  };

  std::vector<Tried> best;
  const auto keep_minima = [&] {
    for (size_t i = 0; i < tried.size(); ++i) {
      if (i > 0 && tried[i - 1].cost < tried[i].cost) continue;
      if (i + 1 < tried.size() && tried[i + 1].cost < tried[i].cost) continue;
      best.push_back(tried[i]);
    }
    tried.clear();
  };
  const auto climb = [&](const auto& attempt_at) {
    for (double tilt = -kMostTilt; tilt <= kMostTilt; tilt += kTiltStep) {
      attempt_at(std::cos(RadFromDegrees(tilt).value), std::sin(RadFromDegrees(tilt).value));
    }
    keep_minima();
  };
  climb([&](double c, double s) {
    // u top + height axis = w bottom, in the plane.
    const Eigen::Vector3d axis = c * down + s * away;
    Eigen::Matrix2d rays;
    rays << top.dot(down), -bottom.dot(down), top.dot(away), -bottom.dot(away);
    const Eigen::Vector2d reach =
        rays.inverse() * Eigen::Vector2d(-rims.height * c, -rims.height * s);
    attempt(top * reach[0], axis);
  });
  for (const double roll : kRolls) {
    const Eigen::Vector3d rolled = std::cos(RadFromDegrees(roll).value) * down +
                                   std::sin(RadFromDegrees(roll).value) * away.cross(down);
    climb([&](double c, double s) {
      // Each rim's own distance, brought to the top rim along the axis.
      const Eigen::Vector3d axis = c * rolled + s * away;
      attempt(top * ((top_depth + bottom_depth - rims.height * axis.z()) / 2), axis);
    });
  }
  if (const Eigen::Vector3d axis = bottom * bottom_depth - top * top_depth; axis.norm() > 0) {
    attempt(top * top_depth, axis.normalized());
    keep_minima();
  }
  std::stable_sort(best.begin(), best.end(),
                   [](const Tried& a, const Tried& b) { return a.cost < b.cost; });
  if (best.size() > kMostRimStarts) best.resize(kMostRimStarts);
  std::vector<ShapeParameters> starts;
  for (const Tried& one : best) starts.push_back(one.parameters);
  return starts;
}

}  // namespace wheatpaste
