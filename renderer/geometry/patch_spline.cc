#include "geometry/patch_spline.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Geometry>
#include <Eigen/LU>

#include "base/check.h"
#include "geometry/decompose.h"
#include "geometry/homography.h"

namespace wheatpaste {
namespace {

// Slopes at n even knots (step 1) are this matrix times the values there.
Eigen::MatrixXd SlopesFromValues(int n) {
  Eigen::MatrixXd left = Eigen::MatrixXd::Zero(n, n), right = left;
  const int last = n - 1;
  if (n == 2) {
    right << -1, 1, -1, 1;
    return right;
  }
  if (n == 3) {  // the parabola
    right << -1.5, 2, -0.5, -0.5, 0, 0.5, 0.5, -2, 1.5;
    return right;
  }
  // Second derivative continuous: m[i-1] + 4 m[i] + m[i+1] = 3 (f[i+1] - f[i-1]).
  for (int i = 1; i < last; ++i) {
    left(i, i - 1) = left(i, i + 1) = 1;
    left(i, i) = 4;
    right(i, i - 1) = -3;
    right(i, i + 1) = 3;
  }
  // Third derivative continuous at the second and the last but one knot: on a cell it is
  // 6 (m[i] + m[i+1] - 2 (f[i+1] - f[i])), so m[0] - m[2] = 2 (2 f[1] - f[0] - f[2]).
  left(0, 0) = 1;
  left(0, 2) = -1;
  right(0, 0) = -2;
  right(0, 1) = 4;
  right(0, 2) = -2;
  left(last, last - 2) = 1;
  left(last, last) = -1;
  right(last, last - 2) = -2;
  right(last, last - 1) = 4;
  right(last, last) = -2;
  return SolveLeastSquares(left, right);
}

// Powers of t from the values and slopes at 0 and 1, in the order f0, f1, m0, m1.
Eigen::Matrix4d PowersFromHermite() {
  Eigen::Matrix4d powers;
  powers << 1, 0, 0, 0, 0, 0, 1, 0, -3, 3, -2, -1, 2, -2, 1, 1;
  return powers;
}

Eigen::Matrix3d FitFlat(const std::vector<PointPair>& pairs) {
  if (const auto fit = FitHomography(pairs)) return fit->target_from_source;
  const auto count = static_cast<Eigen::Index>(pairs.size());
  Eigen::MatrixXd sources(count, 3), targets(count, 2);
  for (Eigen::Index i = 0; i < count; ++i) {
    const PointPair& pair = pairs[static_cast<size_t>(i)];
    sources.row(i) = pair.source.homogeneous().transpose();
    targets.row(i) = pair.target.transpose();
  }
  Eigen::Matrix3d affine = Eigen::Matrix3d::Identity();
  affine.topRows<2>() = SolveLeastSquares(sources, targets).transpose();
  return affine;
}

struct CellPlace {
  int index;
  double t;       // within the cell, 0 to 1
  double beyond;  // how far past the grid's end, signed
};

CellPlace PlaceOf(double u, int points) {
  const int index = std::clamp(static_cast<int>(u), 0, points - 2);
  const double offset = u - index, t = std::clamp(offset, 0.0, 1.0);
  return {index, t, offset - t};
}

}  // namespace

PatchSpline::PatchSpline(int columns, int rows, std::span<const PhotoPx> points, SurfaceMm size)
    : columns_(columns), rows_(rows), size_(size) {
  WHEATPASTE_CHECK(columns >= 2 && rows >= 2);
  WHEATPASTE_CHECK_OP(points.size(), ==, static_cast<size_t>(columns) * static_cast<size_t>(rows));
  WHEATPASTE_CHECK(size.x > 0 && size.y > 0);
  u_per_mm_ = (columns - 1) / size.x;
  v_per_mm_ = (rows - 1) / size.y;

  std::vector<PointPair> pairs;
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < columns; ++column) {
      const PhotoPx& p = points[static_cast<size_t>(row * columns + column)];
      pairs.push_back({Eigen::Vector2d(column, row), p.vector()});
    }
  }
  photo_from_cells_ = FitFlat(pairs);

  const Eigen::MatrixXd slopes_u = SlopesFromValues(columns), slopes_v = SlopesFromValues(rows);
  const Eigen::Matrix4d powers = PowersFromHermite();
  cells_.resize(static_cast<size_t>((columns - 1) * (rows - 1)));
  for (int axis = 0; axis < 2; ++axis) {
    Eigen::MatrixXd f(rows, columns);
    for (int row = 0; row < rows; ++row) {
      for (int column = 0; column < columns; ++column) {
        const PointPair& pair = pairs[static_cast<size_t>(row * columns + column)];
        const Eigen::Vector3d flat = photo_from_cells_ * pair.source.homogeneous();
        f(row, column) = pair.target(axis) - flat(axis) / flat.z();
      }
    }
    const Eigen::MatrixXd f_u = f * slopes_u.transpose(), f_v = slopes_v * f;
    const Eigen::MatrixXd f_uv = f_v * slopes_u.transpose();
    for (int row = 0; row + 1 < rows; ++row) {
      for (int column = 0; column + 1 < columns; ++column) {
        Eigen::Matrix4d hermite;
        hermite << f.block<2, 2>(row, column), f_u.block<2, 2>(row, column),
            f_v.block<2, 2>(row, column), f_uv.block<2, 2>(row, column);
        const Eigen::Matrix4d c = powers * hermite * powers.transpose();
        Cell& cell = cells_[static_cast<size_t>(row * (columns - 1) + column)];
        for (int i = 0; i < 4; ++i) {
          for (int j = 0; j < 4; ++j) cell[static_cast<size_t>(4 * i + j)](axis) = c(i, j);
        }
      }
    }
  }
}

SurfaceMm PatchSpline::MarkAt(int row, int column) const {
  return {column / u_per_mm_, row / v_per_mm_};
}

Map<PhotoPx, SurfaceMm> PatchSpline::flat() const {
  return Map<PhotoPx, SurfaceMm>(photo_from_cells_ *
                                 Eigen::Vector3d(u_per_mm_, v_per_mm_, 1).asDiagonal());
}

PatchSpline::Step PatchSpline::InCells(double u, double v) const {
  const Eigen::Matrix3d& h = photo_from_cells_;
  // The horizon of H lies beyond the grid; a search that oversteps it meets a far, finite place.
  const double depth = std::max(h(2, 0) * u + h(2, 1) * v + h(2, 2), 1e-12);
  const double inverse = 1 / depth;
  Step step;
  step.photo = inverse * (h.col(0).head<2>() * u + h.col(1).head<2>() * v + h.col(2).head<2>());
  step.across = inverse * (h.col(0).head<2>() - h(2, 0) * step.photo);
  step.down = inverse * (h.col(1).head<2>() - h(2, 1) * step.photo);

  const CellPlace across = PlaceOf(u, columns_), down = PlaceOf(v, rows_);
  const Cell& c = cells_[static_cast<size_t>(down.index * (columns_ - 1) + across.index)];
  const double s = across.t, t = down.t;
  std::array<Eigen::Vector2d, 4> value, slope;  // of each power of t
  for (size_t i = 0; i < 4; ++i) {
    const Eigen::Vector2d *a = &c[4 * i], cubic = a[3] * s;
    slope[i] = (3 * cubic + 2 * a[2]) * s + a[1];
    value[i] = ((cubic + a[2]) * s + a[1]) * s + a[0] + across.beyond * slope[i];
  }
  const Eigen::Vector2d down_slope = (3 * t * value[3] + 2 * value[2]) * t + value[1];
  const Eigen::Vector2d across_down = (3 * t * slope[3] + 2 * slope[2]) * t + slope[1];
  step.photo +=
      ((value[3] * t + value[2]) * t + value[1]) * t + value[0] + down.beyond * down_slope;
  step.across +=
      ((slope[3] * t + slope[2]) * t + slope[1]) * t + slope[0] + down.beyond * across_down;
  step.down += down_slope;
  return step;
}

PatchSpline::Local PatchSpline::At(const SurfaceMm& mm) const {
  const Step step = InCells(mm.x * u_per_mm_, mm.y * v_per_mm_);
  Local local;
  local.photo = {step.photo.x(), step.photo.y()};
  local.jacobian.col(0) = step.across * u_per_mm_;
  local.jacobian.col(1) = step.down * v_per_mm_;
  return local;
}

PatchSpline::Inverse PatchSpline::Invert(const PhotoPx& photo, const SurfaceMm& start,
                                         double tolerance) const {
  constexpr int kMostSteps = 40, kMostHalvings = 8;
  constexpr double kLongestStep = 0.75;  // cells
  const double last_u = columns_ - 1, last_v = rows_ - 1;
  const auto bound = [](double value, double last) {
    return std::clamp(value, -kReach, last + kReach);
  };
  const Eigen::Vector2d target = photo.vector();
  double u = bound(start.x * u_per_mm_, last_u), v = bound(start.y * v_per_mm_, last_v);
  Step at = InCells(u, v);
  Eigen::Vector2d miss = target - at.photo;
  const auto result = [&](bool converged) {
    return Inverse{{u / u_per_mm_, v / v_per_mm_}, converged};
  };
  for (int i = 0; i < kMostSteps; ++i) {
    const double det = at.across.x() * at.down.y() - at.across.y() * at.down.x();
    double du, dv;
    if (det > 1e-9 * (at.across.squaredNorm() + at.down.squaredNorm())) {
      du = (miss.x() * at.down.y() - miss.y() * at.down.x()) / det;
      dv = (at.across.x() * miss.y() - at.across.y() * miss.x()) / det;
    } else {  // down the slope of the distance, where a Newton step leads the wrong way
      const double per = 1 / (at.across.squaredNorm() + at.down.squaredNorm() + 1e-12);
      du = per * at.across.dot(miss);
      dv = per * at.down.dot(miss);
    }
    const double length = std::max(std::abs(du), std::abs(dv));
    if (length < tolerance) {
      u = bound(u + du, last_u);
      v = bound(v + dv, last_v);
      return result(true);
    }
    if (length > kLongestStep) {
      du *= kLongestStep / length;
      dv *= kLongestStep / length;
    }
    bool nearer = false;
    for (int halving = 0; halving < kMostHalvings && !nearer; ++halving, du /= 2, dv /= 2) {
      const double next_u = bound(u + du, last_u), next_v = bound(v + dv, last_v);
      const Step next = InCells(next_u, next_v);
      const Eigen::Vector2d next_miss = target - next.photo;
      if (next_miss.squaredNorm() >= miss.squaredNorm()) continue;
      nearer = true;
      u = next_u;
      v = next_v;
      at = next;
      miss = next_miss;
    }
    // No nearer: at the nearest point, or as near as the digits go.
    if (!nearer) return result(miss.norm() < 1e-9 * (1 + target.norm()));
  }
  return result(false);
}

PatchSpline::Turning PatchSpline::LeastDeterminant() const {
  constexpr int kSteps = 16, kCloser = 4, kRounds = 6;
  const auto determinant = [&](double u, double v) {
    const Step step = InCells(u, v);
    return step.across.x() * step.down.y() - step.across.y() * step.down.x();
  };
  Turning least;
  double least_value = std::numeric_limits<double>::infinity(), sum = 0;
  for (int row = 0; row + 1 < rows_; ++row) {
    for (int column = 0; column + 1 < columns_; ++column) {
      double best = std::numeric_limits<double>::infinity(), best_u = column, best_v = row;
      const auto take = [&](double u, double v) {
        const double value = determinant(u, v);
        if (value < best) {
          best = value;
          best_u = u;
          best_v = v;
        }
        return value;
      };
      double cell_sum = 0;
      for (int i = 0; i <= kSteps; ++i) {
        for (int j = 0; j <= kSteps; ++j) {
          cell_sum +=
              take(column + static_cast<double>(j) / kSteps, row + static_cast<double>(i) / kSteps);
        }
      }
      sum += std::abs(cell_sum) / ((kSteps + 1) * (kSteps + 1));
      double reach = 1.0 / kSteps;
      for (int round = 0; round < kRounds; ++round, reach /= kCloser) {
        const double u = best_u, v = best_v;
        for (int i = -kCloser; i <= kCloser; ++i) {
          for (int j = -kCloser; j <= kCloser; ++j) {
            take(std::clamp(u + reach * j / kCloser, double(column), column + 1.0),
                 std::clamp(v + reach * i / kCloser, double(row), row + 1.0));
          }
        }
      }
      if (best < least_value) {
        least_value = best;
        least = {row, column, {best_u / u_per_mm_, best_v / v_per_mm_}, 0};
      }
    }
  }
  const double mean = sum / static_cast<double>(cells_.size());
  least.determinant = mean > 0 ? least_value / mean : 0;
  return least;
}

}  // namespace wheatpaste
