#include "light/relief.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include <opencv2/core.hpp>

namespace wheatpaste {
namespace {

// Shading beyond these is no slope: highlights, shadows.
constexpr double kDarkest = -0.8, kBrightest = 1.0;
constexpr int kRounds = 4;
constexpr int kLightRounds = 2;                   // of these, those that estimate the light
constexpr int kFirstSteps = 60, kMoreSteps = 25;  // of a round
constexpr double kGoodEnough = 1e-3;              // residual against the first

class LeastSquares {
 public:
  LeastSquares(const GridShape& shape, const std::vector<double>& weights, const Eigen::Vector2d& a,
               double damping, const FixedSides& fixed)
      : shape_(shape),
        a_(a / (2 * shape.step)),
        damping_(damping * a.squaredNorm() / (shape.step * shape.step)),
        fixed_(fixed) {
    cells_.resize(shape.count());
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
    std::fill(out.begin(), out.end(), 0.0);
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
        Spread(k, cells_[k] * (a_.x() * (first + second) + a_.y() * (first - second)), out);
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
    const double sum = d * (a_.x() + a_.y()), difference = d * (a_.x() - a_.y());
    out[k] -= sum;
    out[k + 1 + down()] += sum;
    out[k + 1] += difference;
    out[k + down()] -= difference;
  }

  GridShape shape_;
  Eigen::Vector2d a_;
  double damping_;
  FixedSides fixed_;
  std::vector<double> cells_;
};

constexpr double kMostRegain = 1.3;

// The factor by which all heights make the shading best: what the damping took along the light.
double Regain(const GridShape& shape, const GridValues& shading, const std::vector<double>& weights,
              const Eigen::Vector2d& a, const GridValues& heights) {
  double both = 0, own = 0;
  const auto down = static_cast<size_t>(shape.columns);
  for (int j = 1; j + 1 < shape.rows; ++j) {
    for (int i = 1; i + 1 < shape.columns; ++i) {
      const size_t k = shape.at(i, j);
      const double made = -(a.x() * (heights[k + 1] - heights[k - 1]) +
                            a.y() * (heights[k + down] - heights[k - down])) /
                          (2 * shape.step);
      both += weights[k] * shading[k] * made;
      own += weights[k] * made * made;
    }
  }
  return own > 0 ? std::clamp(both / own, 1.0, kMostRegain) : 1;
}

double Dot(const GridValues& a, const GridValues& b) {
  double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

// The periodic solution on a grid with room around it, so that opposite sides do not meet.
GridValues FirstHeights(const GridShape& shape, const GridValues& shading,
                        const std::vector<double>& weights, const Eigen::Vector2d& a) {
  GridShape wide = shape;
  wide.columns = cv::getOptimalDFTSize(shape.columns + shape.columns / 3);
  wide.rows = cv::getOptimalDFTSize(shape.rows + shape.rows / 3);
  GridValues padded(wide.count(), 0.0);
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      padded[wide.at(i, j)] = weights[shape.at(i, j)] * shading[shape.at(i, j)];
    }
  }
  const GridValues heights = HeightsFromShading(wide, padded, a, kReliefDamping);
  GridValues first(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      first[shape.at(i, j)] = heights[wide.at(i, j)];
    }
  }
  return first;
}

// The light of each point of the sheet: seen where the camera sees that point.
FlatLight Unbent(const FlatLight& flat, const std::vector<Eigen::Vector2d>& shift,
                 const GridValues& heights) {
  FlatLight unbent = flat;
  for (int j = 0; j < flat.shape.rows; ++j) {
    for (int i = 0; i < flat.shape.columns; ++i) {
      const size_t k = flat.shape.at(i, j);
      const Eigen::Vector2d at = flat.shape.MmAt(i, j).vector() - heights[k] * shift[k];
      const GridPlace place = flat.shape.Find({at.x(), at.y()});
      unbent.light[k] = SampleValue(flat.shape, flat.light, place);
      unbent.weights[k] = SampleValue(flat.shape, flat.weights, place);
    }
  }
  return unbent;
}

// s = R sqrt(1 + |grad z|^2) - 1, its mean over what was seen taken out, held within what slopes can make.
GridValues LinearShading(const GridShape& shape, const GridValues& ratio,
                         const std::vector<double>& weights, const GridValues& heights) {
  GridValues shading(ratio.size());
  double sum = 0, area = 0;
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) {
      const int i0 = std::max(i - 1, 0), i1 = std::min(i + 1, shape.columns - 1);
      const int j0 = std::max(j - 1, 0), j1 = std::min(j + 1, shape.rows - 1);
      const size_t k = shape.at(i, j);
      const double p =
          (heights[shape.at(i1, j)] - heights[shape.at(i0, j)]) / ((i1 - i0) * shape.step);
      const double q =
          (heights[shape.at(i, j1)] - heights[shape.at(i, j0)]) / ((j1 - j0) * shape.step);
      shading[k] = ratio[k] * std::sqrt(1 + p * p + q * q);
      sum += weights[k] * shading[k];
      area += weights[k];
    }
  }
  const double mean = area > 0 ? sum / area : 1;
  for (double& s : shading) s = std::clamp(s / mean - 1, kDarkest, kBrightest);
  return shading;
}

FixedSides SidesOf(const GridShape& shape, const PrintArea& area) {
  const SurfaceMm last = shape.MmAt(shape.columns - 1, shape.rows - 1);
  const double near = 1.5 * shape.step;
  return {shape.origin
              .x<area.low.x + near, shape.origin.y<area.low.y + near, last.x> area.high.x - near,
                 last.y>
                  area.high.y -
          near};
}

}  // namespace

GridValues HeightsFromShading(const GridShape& shape, const GridValues& shading,
                              const Eigen::Vector2d& a, double damping) {
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
      const double power = along * along + damping * a.squaredNorm() * (kx * kx + ky * ky);
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
                      const std::vector<double>& weights, const Eigen::Vector2d& a, double damping,
                      const FixedSides& fixed, GridValues start, int most_steps) {
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

std::optional<Relief> ReadRelief(FlatLight flat, const FaceView& view, const PrintArea& area,
                                 const std::optional<Eigen::Vector3d>& light_from) {
  const GridShape shape = flat.shape;
  const SurfaceMm middle = shape.MmAt(shape.columns / 2, shape.rows / 2);
  const Eigen::Matrix3d camera_from_face = view.AxesAt(middle);
  Relief relief;
  relief.heights.assign(shape.count(), 0.0);
  if (light_from) {
    const Eigen::Vector3d own = camera_from_face.transpose() * *light_from;
    if (!(own.z() > 0.05 * own.norm())) return std::nullopt;
    relief.light = {std::atan2(own.y(), own.x()), std::atan2(own.head<2>().norm(), own.z())};
  }
  relief.estimated = !light_from;
  // Up in the picture, and a little to the left where the light lies level.
  const Eigen::Vector3d up = camera_from_face.transpose() * Eigen::Vector3d(-0.2, -1, 0);
  std::vector<Eigen::Vector2d> shift(shape.count());
  for (int j = 0; j < shape.rows; ++j) {
    for (int i = 0; i < shape.columns; ++i) shift[shape.at(i, j)] = view.ShiftAt(shape.MmAt(i, j));
  }
  const FixedSides fixed = SidesOf(shape, area);
  relief.shadows = RemoveHardEdges(flat);
  for (int round = 0; round < kRounds; ++round) {
    const FlatLight unbent = Unbent(flat, shift, relief.heights);
    const auto [ratio, brighter] = RatioToBase(unbent);
    if (!light_from && round < kLightRounds) {
      const Eigen::Vector2d tilt =
          EstimateTilt(shape, ratio, unbent.weights, brighter, up.head<2>());
      const GridValues shading = LinearShading(shape, ratio, unbent.weights, relief.heights);
      const GridValues unit = FirstHeights(shape, shading, unbent.weights, tilt);
      // Once the light stands where the sheet is, the view no longer stretches it.
      const std::vector<Eigen::Vector2d> none(shape.count(), Eigen::Vector2d::Zero());
      const double slope =
          EstimateSlant(shape, ratio, unbent.weights, unit, round == 0 ? shift : none);
      relief.light = {std::atan2(tilt.y(), tilt.x()), std::atan(slope)};
    }
    const Eigen::Vector2d a = relief.light.Slopes();
    if (!(a.norm() > 1e-3)) return std::nullopt;
    const GridValues shading = LinearShading(shape, ratio, unbent.weights, relief.heights);
    GridValues start =
        round == 0 ? FirstHeights(shape, shading, unbent.weights, a) : std::move(relief.heights);
    relief.heights = FitHeights(shape, shading, unbent.weights, a, kReliefDamping, fixed,
                                std::move(start), round == 0 ? kFirstSteps : kMoreSteps);
    const double regain = Regain(shape, shading, unbent.weights, a, relief.heights);
    for (double& z : relief.heights) z *= regain;
  }
  return relief;
}

}  // namespace wheatpaste
