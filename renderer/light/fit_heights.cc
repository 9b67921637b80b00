#include "light/fit_heights.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <opencv2/core.hpp>

namespace wheatpaste {
namespace {

constexpr double kGoodEnough = 1e-3;  // residual against the first

double MeanSquare(const std::vector<Eigen::Vector2d>& a) {
  double sum = 0;
  for (const Eigen::Vector2d& each : a) sum += each.squaredNorm();
  return sum / static_cast<double>(a.size());
}

class LeastSquares {
 public:
  LeastSquares(const GridShape& shape, const std::vector<double>& weights,
               const std::vector<Eigen::Vector2d>& a, const Damping& damping,
               const FixedSides& fixed)
      : shape_(shape),
        a_(a),
        damping_(damping.slopes * MeanSquare(a) / (shape.step * shape.step)),
        heights_(damping.Heights() * MeanSquare(a)),
        fixed_(fixed) {
    cells_.resize(shape.count());
    for (Eigen::Vector2d& each : a_) each /= 2 * shape.step;
    for (int j = 0; j + 1 < shape.rows; ++j) {
      for (int i = 0; i + 1 < shape.columns; ++i) {
        const size_t k = shape.at(i, j);
        cells_[k] =
            std::min({weights[k], weights[k + 1], weights[k + down()], weights[k + down() + 1]});
      }
    }
  }

  // The right-hand side for shading s.
  GridValues Pull(const GridValues& s) const {
    GridValues out(shape_.count(), 0.0);
    for (int j = 0; j + 1 < shape_.rows; ++j) {
      for (int i = 0; i + 1 < shape_.columns; ++i) {
        const size_t k = shape_.at(i, j);
        Spread(k, -cells_[k] * (s[k] + s[k + 1] + s[k + down()] + s[k + down() + 1]) / 4, out);
      }
    }
    Fix(out);
    return out;
  }

  void Apply(const GridValues& z, GridValues& out) const {
    for (size_t k = 0; k < z.size(); ++k) out[k] = heights_ * z[k];
    for (int j = 0; j < shape_.rows; ++j) {
      for (int i = 0; i < shape_.columns; ++i) {
        const size_t k = shape_.at(i, j);
        const bool right = i + 1 < shape_.columns, below = j + 1 < shape_.rows;
        if (right) {
          const double d = damping_ * (z[k + 1] - z[k]);
          out[k] -= d;
          out[k + 1] += d;
        }
        if (below) {
          const double d = damping_ * (z[k + down()] - z[k]);
          out[k] -= d;
          out[k + down()] += d;
        }
        if (!right || !below || cells_[k] == 0) continue;
        const double first = z[k + 1 + down()] - z[k], second = z[k + 1] - z[k + down()];
        Spread(k, cells_[k] * (a_[k].x() * (first + second) + a_[k].y() * (first - second)), out);
      }
    }
    Fix(out);
  }

  void Fix(GridValues& z) const {
    for (int i = 0; i < shape_.columns; ++i) {
      if (fixed_.top) z[shape_.at(i, 0)] = 0;
      if (fixed_.bottom) z[shape_.at(i, shape_.rows - 1)] = 0;
    }
    for (int j = 0; j < shape_.rows; ++j) {
      if (fixed_.left) z[shape_.at(0, j)] = 0;
      if (fixed_.right) z[shape_.at(shape_.columns - 1, j)] = 0;
    }
  }

 private:
  size_t down() const { return static_cast<size_t>(shape_.columns); }
  void Spread(size_t k, double d, GridValues& out) const {
    const double sum = d * (a_[k].x() + a_[k].y()), difference = d * (a_[k].x() - a_[k].y());
    out[k] -= sum;
    out[k + 1 + down()] += sum;
    out[k + 1] += difference;
    out[k + down()] -= difference;
  }

  GridShape shape_;
  std::vector<Eigen::Vector2d> a_;
  double damping_, heights_;
  FixedSides fixed_;
  std::vector<double> cells_;
};

double Dot(const GridValues& a, const GridValues& b) {
  double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

}  // namespace

GridValues HeightsFromShading(const GridShape& shape, const GridValues& shading,
                              const Eigen::Vector2d& a, const Damping& damping) {
  cv::Mat spectrum(shape.rows, shape.columns, CV_64FC2);
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      spectrum.at<cv::Vec2d>(j, i) = {shading[shape.at(i, j)], 0};
    }
  }
  cv::dft(spectrum, spectrum);
  const auto frequency = [&](int k, int count) {  // rad per mm
    const int folded = 2 * k > count ? k - count : (2 * k == count ? 0 : k);
    return 2 * std::numbers::pi * folded / (count * shape.step);
  };
  for (int j = 0; j < shape.rows; ++j) {
    const double ky = frequency(j, shape.rows);
    for (int i = 0; i < shape.columns; ++i) {
      const double kx = frequency(i, shape.columns);
      const double along = a.x() * kx + a.y() * ky;  // T = -i along
      const double power = along * along + a.squaredNorm() * (damping.slopes * (kx * kx + ky * ky) +
                                                              damping.Heights());
      cv::Vec2d& s = spectrum.at<cv::Vec2d>(j, i);
      // conj(T) S = i along S.
      const double by = power > 0 ? along / power : 0;
      s = {-by * s[1], by * s[0]};
    }
  }
  cv::idft(spectrum, spectrum, cv::DFT_SCALE);
  GridValues heights(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i)
      heights[shape.at(i, j)] = spectrum.at<cv::Vec2d>(j, i)[0];
  }
  return heights;
}

GridValues FitHeights(const GridShape& shape, const GridValues& shading,
                      const std::vector<double>& weights, const std::vector<Eigen::Vector2d>& a,
                      const Damping& damping, const FixedSides& fixed, GridValues start,
                      int most_steps) {
  // Conjugate gradients (Hestenes, Stiefel 1952).
  const LeastSquares squares(shape, weights, a, damping, fixed);
  GridValues z = std::move(start);
  squares.Fix(z);
  GridValues residual = squares.Pull(shading), change(shape.count());
  const double first = Dot(residual, residual);
  squares.Apply(z, change);
  for (size_t i = 0; i < z.size(); ++i) residual[i] -= change[i];
  GridValues direction = residual;
  double left = Dot(residual, residual);
  for (int step = 0; step < most_steps && left > kGoodEnough * kGoodEnough * first; ++step) {
    squares.Apply(direction, change);
    const double bend = Dot(direction, change);
    if (!(bend > 0)) break;
    const double by = left / bend;
    for (size_t i = 0; i < z.size(); ++i) {
      z[i] += by * direction[i];
      residual[i] -= by * change[i];
    }
    const double now = Dot(residual, residual);
    for (size_t i = 0; i < z.size(); ++i) direction[i] = residual[i] + now / left * direction[i];
    left = now;
  }
  return z;
}

}  // namespace wheatpaste
