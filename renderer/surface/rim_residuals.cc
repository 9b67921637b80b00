#include "surface/rim_residuals.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <ceres/dynamic_autodiff_cost_function.h>
#include <ceres/rotation.h>

#include "geometry/conic.h"
#include "geometry/quad.h"

namespace wheatpaste {
namespace {

template <typename T>
using Vector3 = Eigen::Matrix<T, 3, 1>;

// Where a circle's extremes are pictured, px from the principal point.
template <typename T>
struct RimPicture {
  PicturedCircle<T> circle;
  T points[3][2];  // left, near, right
};

template <typename T>
bool PictureRim(const Vector3<T>& centre, const Vector3<T>& axis, const T& radius, const T& focal,
                RimPicture<T>& rim) {
  using std::sqrt;
  PicturedCircle<T>& c = rim.circle;
  if (!PictureCircle(centre, axis, radius, focal, c)) return false;
  // Keeps derivatives finite on edge, where an extent is 0: a millionth of a px.
  constexpr double kLeastSquarePx = 1e-12;
  const T across = sqrt(c.xx + kLeastSquarePx), down = sqrt(c.yy + kLeastSquarePx);
  rim.points[0][0] = c.x - across;
  rim.points[0][1] = c.y - c.xy / across;
  rim.points[2][0] = c.x + across;
  rim.points[2][1] = c.y + c.xy / across;
  // The point nearest to the camera, against the line from the left end to the right.
  Vector3<T> aside = centre - axis * axis.dot(centre);
  const T distance = sqrt(aside.squaredNorm() + 1e-20);
  const Vector3<T> near = centre - aside * (radius / distance);
  const T side =
      c.xx * (focal * near[1] - near[2] * c.y) - c.xy * (focal * near[0] - near[2] * c.x);
  const T sign = T(side < T(0) ? -1.0 : 1.0);
  rim.points[1][0] = c.x + sign * c.xy / down;
  rim.points[1][1] = c.y + sign * down;
  return true;
}

// First-order distance of a point, from the principal point, to the ellipse.
template <typename T>
T DistanceOf(const PicturedCircle<T>& c, const Eigen::Vector2d& point) {
  using std::sqrt;
  const T dx = point.x() - c.x, dy = point.y() - c.y;
  const T gx = c.yy * dx - c.xy * dy, gy = c.xx * dy - c.xy * dx;
  const T value = gx * dx + gy * dy - (c.xx * c.yy - c.xy * c.xy);
  // A line has no slope on itself: a thousandth of a px stands in.
  const T least = 1e-3 * (c.xx + c.yy);
  return value / sqrt(4.0 * (gx * gx + gy * gy) + least * least);
}

struct RimRows {
  std::vector<Eigen::Vector2d> points;  // from the principal point
  std::array<double, 3> along;          // weights of slips along the rim

  RimRows(const MarkedRim& rim, PhotoPx principal) : along(TangentErrors(rim)) {
    for (const PhotoPx& p : rim.points) points.push_back(p.vector() - principal.vector());
    for (double& weight : along) weight = kMarkingErrorPx / weight;
  }
  size_t count() const { return points.size() + 3; }

  // x and y for each of the three extremes, then a row for each further point.
  template <typename T>
  void operator()(const RimPicture<T>& rim, T* rows) const {
    for (size_t i = 0; i < 3; ++i) {
      const double x_weight = i == 1 ? along[i] : 1, y_weight = i == 1 ? 1 : along[i];
      rows[2 * i] = x_weight * (rim.points[i][0] - points[i].x());
      rows[2 * i + 1] = y_weight * (rim.points[i][1] - points[i].y());
    }
    for (size_t i = 3; i < points.size(); ++i) rows[3 + i] = DistanceOf(rim.circle, points[i]);
  }
};

struct RimsDistance {
  RimMarks rims;
  FreeLengths free;
  RimRows top, bottom;

  template <typename T>
  bool Picture(const T& focal, const T* pose, const T* extra, RimPicture<T>& top_rim,
               RimPicture<T>& bottom_rim) const {
    using std::exp;
    T height(rims.height), bottom_radius(rims.diameter_bottom / 2);
    if (free != FreeLengths::kNone) height = exp(extra[0]);
    if (free == FreeLengths::kHeightAndBottom) bottom_radius = 0.5 * exp(extra[1]);
    const T down[3] = {T(0), T(1), T(0)};
    Vector3<T> axis;
    ceres::AngleAxisRotatePoint(pose, down, axis.data());
    const Vector3<T> centre(pose[3], pose[4], pose[5]);
    const Vector3<T> below = centre + axis * height;
    return PictureRim<T>(centre, axis, T(rims.diameter_top / 2), focal, top_rim) &&
           PictureRim<T>(below, axis, bottom_radius, focal, bottom_rim);
  }

  template <typename T>
  bool operator()(T const* const* blocks, T* residuals) const {
    using std::exp;
    RimPicture<T> top_rim, bottom_rim;
    const T* extra = free == FreeLengths::kNone ? nullptr : blocks[2];
    if (!Picture<T>(exp(blocks[0][0]), blocks[1], extra, top_rim, bottom_rim)) return false;
    top(top_rim, residuals);
    bottom(bottom_rim, residuals + top.count());
    return true;
  }
};

}  // namespace

int CountOf(FreeLengths free) {
  switch (free) {
    case FreeLengths::kNone:
      return 0;
    case FreeLengths::kHeight:
      return 1;
    case FreeLengths::kHeightAndBottom:
      return 2;
  }
  return 0;
}

RimMarks WithLengths(const RimMarks& rims, FreeLengths free, const std::vector<double>& extra) {
  RimMarks changed = rims;
  if (free != FreeLengths::kNone) changed.height = std::exp(extra[0]);
  if (free == FreeLengths::kHeightAndBottom) changed.diameter_bottom = std::exp(extra[1]);
  return changed;
}

std::unique_ptr<ceres::CostFunction> RimResiduals(const RimMarks& rims, PhotoPx principal,
                                                  FreeLengths free) {
  const RimRows top(rims.top, principal), bottom(rims.bottom, principal);
  const auto count = static_cast<int>(top.count() + bottom.count());
  auto cost = std::make_unique<ceres::DynamicAutoDiffCostFunction<RimsDistance, 9>>(
      new RimsDistance{rims, free, top, bottom});
  cost->AddParameterBlock(1);
  cost->AddParameterBlock(6);
  if (free != FreeLengths::kNone) cost->AddParameterBlock(CountOf(free));
  cost->SetNumResiduals(count);
  return cost;
}

std::array<double, 3> TangentErrors(const MarkedRim& rim) {
  const Eigen::Vector2d left = rim.points[0].vector(), right = rim.points[2].vector();
  const Eigen::Vector2d half = (right - left) / 2, centre = (right + left) / 2;
  // The ellipse centre + half cos t + (0, b) sin t, of extent bow in y: bow^2 = half_y^2 + b^2. Its radius is
  // b^2 / half_x at the ends, half_x^2 b^2 / bow^3 at the extreme in y. From the marks b^2 is known to about
  // 4 s bow, no better.
  const double width = half.x();
  const double bow = std::max(std::abs(rim.points[1].y - centre.y()), 1e-3);
  const double square = std::max(bow * bow - half.y() * half.y(), 4 * kMarkingErrorPx * bow);
  const auto error = [&](double radius) {
    return std::clamp(std::sqrt(2 * radius * kMarkingErrorPx), kMarkingErrorPx,
                      std::max(width / 2, kMarkingErrorPx));
  };
  const double at_ends = error(square / width);
  return {at_ends, error(width * width * square / (bow * bow * bow)), at_ends};
}

RimMisses MissesOf(const RimMarks& rims, const std::array<double, 6>& pose, double focal_px,
                   PhotoPx principal) {
  const RimsDistance distance{
      rims, FreeLengths::kNone, {rims.top, principal}, {rims.bottom, principal}};
  RimMisses misses;
  RimPicture<double> pictures[2];
  if (!distance.Picture<double>(focal_px, pose.data(), nullptr, pictures[0], pictures[1])) {
    return misses;
  }
  misses.possible = true;
  double squares = 0;
  for (const int which : {0, 1}) {
    const RimRows& marks = which == 0 ? distance.top : distance.bottom;
    std::vector<double> rows(marks.count());
    marks(pictures[which], rows.data());
    for (size_t i = 0; i < marks.points.size(); ++i) {
      const double miss = i < 3 ? std::hypot(rows[2 * i], rows[2 * i + 1]) : std::abs(rows[3 + i]);
      squares += miss * miss;
      if (miss > misses.largest_px) {
        misses.largest_px = miss;
        misses.largest_on_top = which == 0;
        misses.largest_index = i;
      }
    }
    for (const auto& p : pictures[which].points) {
      misses.extremes.push_back({p[0] + principal.x, p[1] + principal.y});
    }
  }
  misses.rms_px = std::sqrt(
      squares / static_cast<double>(distance.top.points.size() + distance.bottom.points.size()));
  return misses;
}

}  // namespace wheatpaste
