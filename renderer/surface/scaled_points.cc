#include "surface/scaled_points.h"

#include <cmath>
#include <utility>

#include <ceres/dynamic_autodiff_cost_function.h>

#include "surface/point_distance.h"
#include "surface/point_residuals.h"

namespace wheatpaste {
namespace {

struct ScaledDistance {
  std::vector<ScaledPoint> points;
  KnownLengths known;
  PhotoPx principal;

  template <typename T>
  bool operator()(T const* const* blocks, T* residuals) const {
    using std::exp;
    const T focal = exp(blocks[0][0]);
    const T* pose = blocks[1];
    T lengths[3];
    int unknown = 0;
    for (size_t k = 0; k < 3; ++k) lengths[k] = known[k] ? T(*known[k]) : exp(blocks[2][unknown++]);
    for (size_t i = 0; i < points.size(); ++i) {
      const Eigen::Vector3d& shares = points[i].shares;
      const T object[3] = {shares.x() * lengths[0], shares.y() * lengths[1],
                           shares.z() * lengths[2]};
      if (!PointDistance(focal, pose, object, principal, points[i].photo, residuals + 2 * i)) {
        return false;
      }
    }
    return true;
  }
};

}  // namespace

int UnknownCount(const KnownLengths& known) {
  int count = 0;
  for (const auto& length : known) count += length ? 0 : 1;
  return count;
}

Lengths LengthsOf(const KnownLengths& known, std::span<const double> extra) {
  Lengths lengths{};
  size_t unknown = 0;
  for (size_t k = 0; k < 3; ++k) lengths[k] = known[k] ? *known[k] : std::exp(extra[unknown++]);
  return lengths;
}

std::vector<double> ExtraOf(const KnownLengths& known, const Lengths& lengths) {
  std::vector<double> extra;
  for (size_t k = 0; k < 3; ++k) {
    if (!known[k]) extra.push_back(std::log(lengths[k]));
  }
  return extra;
}

std::vector<ObjectPoint> ObjectPointsOf(std::span<const ScaledPoint> points,
                                        const Lengths& lengths) {
  const Eigen::Vector3d scale(lengths[0], lengths[1], lengths[2]);
  std::vector<ObjectPoint> objects;
  for (const ScaledPoint& point : points) {
    objects.push_back({point.shares.cwiseProduct(scale), point.photo});
  }
  return objects;
}

std::unique_ptr<ceres::CostFunction> ScaledPointResiduals(std::vector<ScaledPoint> points,
                                                          const KnownLengths& known,
                                                          PhotoPx principal) {
  const int unknown = UnknownCount(known);
  if (unknown == 0) {
    return PointResiduals(ObjectPointsOf(points, LengthsOf(known, {})), principal);
  }
  const auto count = static_cast<int>(2 * points.size());
  auto cost = std::make_unique<ceres::DynamicAutoDiffCostFunction<ScaledDistance, 9>>(
      new ScaledDistance{std::move(points), known, principal});
  cost->AddParameterBlock(1);
  cost->AddParameterBlock(6);
  cost->AddParameterBlock(unknown);
  cost->SetNumResiduals(count);
  return cost;
}

}  // namespace wheatpaste
