#include "light/remove_print.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <Eigen/Core>
#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "light/grid_potential.h"
#include "light/log_colour.h"
#include "light/planes.h"
#include "light/solve_normal.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;
constexpr size_t kMostSamples = size_t{1} << 16;
constexpr int kFitRounds = 8;
constexpr double kFitReach = 0.06;
// Fewer joined pixels than this are specks of noise.
constexpr int kSpeckPx = 9;
// Hold of the photo on bare pixels against one step: level closely, chroma over some px, for its noise.
constexpr float kLevelHold = 1, kChromaHold = 0.1f;
constexpr double kTolerance = 1e-3;
constexpr int kMostSteps = 60;
// Half the width of what counts as print's edge, over which the light is not read.
constexpr int kEdgePx = 2;
// Slopes are the mean over so many px to each side; a steeper change of log light a px is an edge of its own.
constexpr int kSlopeReach = 5;
constexpr float kSteepSlope = 0.05f;
constexpr float kDarkest = 1e-3f;
// Pixels at the surface's border take the change of those within so many px.
constexpr int kBorderReach = kBorderPx + 2;

using Plane = std::vector<float>;
using Basis = Eigen::Matrix<double, 7, 1>;

class Remover {
 public:
  Remover(ImageView<SceneLinear> light, const Separation& found)
      : light_(light), found_(found), width_(light.width()), height_(light.height()) {
    for (Plane* plane : {&log_light_, &level_, &chroma_[0], &chroma_[1]}) {
      plane->assign(static_cast<size_t>(light.size().area()), 0);
    }
    in_.assign(level_.size(), 0);
    ForAll([&](size_t i, int64_t x, int64_t y) {
      const float shading = found.shading.row(0, y)[x];
      if (shading <= 0) return;
      in_[i] = 1;
      std::array<float, 3> bands;
      for (int c = 0; c < 3; ++c) {
        bands[static_cast<size_t>(c)] =
            std::log(std::max(kDarkest, found.reflectance.row(c, y)[x]));
      }
      const LogColour colour = LogColourOf(bands);
      level_[i] = colour.level;
      for (size_t axis = 0; axis < 2; ++axis) chroma_[axis][i] = colour.chroma[axis];
      log_light_[i] = std::log(shading);
    });
  }

  // 255 on print.
  cv::Mat FindPrint();
  // log of the bare light's bands.
  std::array<Plane, 3> FindBare(const cv::Mat& print);
  const std::vector<uint8_t>& in() const { return in_; }

 private:
  template <typename Work>
  void ForAll(const Work& work) const {
    ParallelRows(height_, kBandRows, [&](int64_t y0, int64_t y1) {
      for (int64_t y = y0; y < y1; ++y) {
        for (int64_t x = 0; x < width_; ++x) work(static_cast<size_t>(y * width_ + x), x, y);
      }
    });
  }
  Basis BasisAt(size_t i) const {
    const double half = static_cast<double>(std::max(width_, height_)) / 2;
    const double x = static_cast<double>(static_cast<int64_t>(i) % width_) / half - 1;
    const double y = static_cast<double>(static_cast<int64_t>(i) / width_) / half - 1;
    Basis basis;
    basis << 1, x, y, x * x, x * y, y * y, double{log_light_[i]} - mean_log_light_;
    return basis;
  }
  Plane Smoothed(const Plane& plane) const;
  void FitTint();
  Plane BareSteps(int axis, const cv::Mat& edge) const;

  ImageView<SceneLinear> light_;
  const Separation& found_;
  int64_t width_, height_;
  std::vector<uint8_t> in_;
  Plane log_light_, level_, chroma_[2];
  double mean_log_light_ = 0;
  Eigen::Matrix<double, 7, 2> tint_ = Eigen::Matrix<double, 7, 2>::Zero();
};

Plane Remover::Smoothed(const Plane& plane) const {
  const int rows = static_cast<int>(height_), columns = static_cast<int>(width_);
  const cv::Mat from(rows, columns, CV_32F, const_cast<float*>(plane.data()));
  cv::Mat mask, sums, shares;
  cv::Mat(rows, columns, CV_8U, const_cast<uint8_t*>(in_.data())).convertTo(mask, CV_32F);
  const auto box = [](const cv::Mat& of, cv::Mat& to) {
    cv::boxFilter(of, to, CV_32F, cv::Size(3, 3), cv::Point(-1, -1), true, cv::BORDER_CONSTANT);
  };
  box(from.mul(mask), sums);
  box(mask, shares);
  Plane out(plane.size());
  ForAll([&](size_t i, int64_t, int64_t) {
    if (in_[i]) out[i] = sums.ptr<float>()[i] / shares.ptr<float>()[i];
  });
  return out;
}

void Remover::FitTint() {
  std::vector<size_t> samples;
  const size_t step = in_.size() / kMostSamples + 1;
  for (size_t i = 0; i < in_.size(); i += step) {
    if (in_[i]) samples.push_back(i);
  }
  if (samples.size() < 100) return;
  for (const size_t i : samples) mean_log_light_ += double{log_light_[i]};
  mean_log_light_ /= static_cast<double>(samples.size());
  for (int round = 0; round < kFitRounds; ++round) {
    // Held weakly to no change at all, for what the samples do not tell.
    Eigen::Matrix<double, 7, 7> normal =
        1e-3 * static_cast<double>(samples.size()) * Eigen::Matrix<double, 7, 7>::Identity();
    Eigen::Matrix<double, 7, 2> right = Eigen::Matrix<double, 7, 2>::Zero();
    for (const size_t i : samples) {
      const Basis basis = BasisAt(i);
      const Eigen::Vector2d chroma(double{chroma_[0][i]}, double{chroma_[1][i]});
      const Eigen::Vector2d off = chroma - tint_.transpose() * basis;
      const double level = double{level_[i]} / kPrintLevel;
      const double weight =
          1 / ((1 + off.squaredNorm() / (kFitReach * kFitReach)) * (1 + level * level));
      normal += weight * weight * basis * basis.transpose();
      right += weight * weight * basis * chroma.transpose();
    }
    tint_ = SolveNormal(normal, right);
  }
}

cv::Mat Remover::FindPrint() {
  for (Plane& plane : chroma_) plane = Smoothed(plane);
  const Plane level = Smoothed(level_);
  FitTint();
  Plane off(in_.size());
  ForAll([&](size_t i, int64_t, int64_t) {
    if (!in_[i]) return;
    const Eigen::Vector2d tint = tint_.transpose() * BasisAt(i);
    off[i] = std::hypot(chroma_[0][i] - static_cast<float>(tint[0]),
                        chroma_[1][i] - static_cast<float>(tint[1]));
  });
  // Noise from the lower quartile, which lies on bare material: of a length of two normal deviates, of one's size.
  Plane lengths, sizes;
  const size_t step = in_.size() / kMostSamples + 1;
  for (size_t i = 0; i < in_.size(); i += step) {
    if (!in_[i]) continue;
    lengths.push_back(off[i]);
    sizes.push_back(std::abs(level[i]));
  }
  const auto quartile = [](Plane& values) {
    const auto at = values.begin() + static_cast<int64_t>(values.size() / 4);
    std::nth_element(values.begin(), at, values.end());
    return double{*at};
  };
  cv::Mat print = cv::Mat::zeros(static_cast<int>(height_), static_cast<int>(width_), CV_8U);
  if (lengths.empty()) return print;
  const auto most_chroma =
      static_cast<float>(std::max(kPrintChroma, kPrintNoise * quartile(lengths) / 0.7585));
  const auto most_level =
      static_cast<float>(std::max(kPrintLevel, kPrintNoise * quartile(sizes) / 0.3186));
  ForAll([&](size_t i, int64_t, int64_t) {
    if (in_[i] && (off[i] > most_chroma || std::abs(level[i]) > most_level)) print.data[i] = 255;
  });
  cv::Mat labels, stats, centres;
  cv::connectedComponentsWithStats(print, labels, stats, centres, 8, CV_32S);
  ForAll([&](size_t i, int64_t, int64_t) {
    if (stats.at<int>(labels.ptr<int>()[i], cv::CC_STAT_AREA) < kSpeckPx) print.data[i] = 0;
  });
  return print;
}

cv::Mat Widened(const cv::Mat& mask, int by) {
  cv::Mat wide;
  cv::dilate(mask, wide,
             cv::getStructuringElement(cv::MORPH_ELLIPSE, cv::Size(2 * by + 1, 2 * by + 1)));
  return wide;
}

// Steps of log light, those at print's edges as the slopes nearby go on.
Plane Remover::BareSteps(int axis, const cv::Mat& edge) const {
  const int rows = static_cast<int>(height_), columns = static_cast<int>(width_);
  cv::Mat known(rows, columns, CV_32F), known_step(rows, columns, CV_32F), shares, sums;
  ForAll([&](size_t i, int64_t x, int64_t y) {
    const float step = found_.steps.row(axis, y)[x];
    // A slope, not the edge of a shadow.
    const float off = step / kSteepSlope;
    const float weight = in_[i] && !edge.data[i] ? 1 / (1 + off * off) : 0;
    known.ptr<float>()[i] = weight;
    known_step.ptr<float>()[i] = weight * step;
  });
  const cv::Size window(2 * kSlopeReach + 1, 2 * kSlopeReach + 1);
  cv::boxFilter(known, shares, CV_32F, window, cv::Point(-1, -1), true, cv::BORDER_CONSTANT);
  cv::boxFilter(known_step, sums, CV_32F, window, cv::Point(-1, -1), true, cv::BORDER_CONSTANT);
  Plane steps(in_.size());
  ForAll([&](size_t i, int64_t x, int64_t y) {
    if (!in_[i]) return;
    steps[i] = edge.data[i] ? sums.ptr<float>()[i] / (shares.ptr<float>()[i] + 0.02f)
                            : found_.steps.row(axis, y)[x];
  });
  return steps;
}

std::array<Plane, 3> Remover::FindBare(const cv::Mat& print) {
  const cv::Mat unknown = Widened(print, kPrintMargin);
  cv::Mat inside;
  cv::erode(print, inside, cv::Mat::ones(2 * kEdgePx + 1, 2 * kEdgePx + 1, CV_8U));
  const cv::Mat edge = Widened(print, kEdgePx) - inside;
  GridEdges weight{Plane(in_.size()), Plane(in_.size())};
  const GridEdges steps{BareSteps(0, edge), BareSteps(1, edge)};
  Plane level_hold(in_.size()), chroma_hold(in_.size()), target(in_.size());
  ForAll([&](size_t i, int64_t x, int64_t y) {
    if (!in_[i]) return;
    weight.right[i] = x + 1 < width_ && in_[i + 1] ? 1 : 0;
    weight.down[i] = y + 1 < height_ && in_[i + static_cast<size_t>(width_)] ? 1 : 0;
    level_hold[i] = unknown.data[i] ? 0 : kLevelHold;
    chroma_hold[i] = unknown.data[i] ? 0 : kChromaHold;
    target[i] = log_light_[i] + level_[i];
  });
  GridPotential potential(light_.size());
  potential.SetWeights(weight, level_hold);
  Plane level = log_light_;
  potential.Solve(steps, target, kTolerance, kMostSteps, level);

  const GridEdges none{Plane(in_.size()), Plane(in_.size())};
  potential.SetWeights(weight, chroma_hold);
  std::array<Plane, 2> chroma;
  for (int axis = 0; axis < 2; ++axis) {
    Plane tint(in_.size());
    ForAll([&](size_t i, int64_t, int64_t) {
      if (!in_[i]) return;
      tint[i] = static_cast<float>(tint_.col(axis).dot(BasisAt(i)));
      target[i] = chroma_[axis][i] - tint[i];
    });
    Plane& u = chroma[static_cast<size_t>(axis)];
    u.assign(in_.size(), 0);
    potential.Solve(none, target, kTolerance, kMostSteps, u);
    for (size_t i = 0; i < u.size(); ++i) u[i] += tint[i];
  }
  std::array<Plane, 3> bare;
  for (Plane& plane : bare) plane.resize(in_.size());
  std::array<float, 3> material{};
  for (size_t c = 0; c < 3; ++c) material[c] = static_cast<float>(std::log(found_.material[c]));
  ForAll([&](size_t i, int64_t, int64_t) {
    const auto bands = BandsOf<float>({chroma[0][i], chroma[1][i]});
    for (size_t c = 0; c < 3; ++c) bare[c][i] = level[i] + material[c] + bands[c];
  });
  return bare;
}

// Pixels that hold something else too change as much as the surface's own pixel nearest to them.
void ChangeBorder(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                  const std::vector<uint8_t>& in, BareSurface& bare) {
  const int rows = static_cast<int>(light.height()), columns = static_cast<int>(light.width());
  cv::Mat outside(rows, columns, CV_8U), cover(rows, columns, CV_32F), spread, distance, nearest;
  for (int y = 0; y < rows; ++y) {
    for (int x = 0; x < columns; ++x) {
      outside.at<uint8_t>(y, x) = in[static_cast<size_t>(y * columns + x)] ? 0 : 1;
      cover.at<float>(y, x) = seen.row(y)[x];
    }
  }
  // The lens spreads the border over its neighbours.
  cv::boxFilter(cover, spread, CV_32F, cv::Size(3, 3), cv::Point(-1, -1), true,
                cv::BORDER_REPLICATE);
  cv::distanceTransform(outside, distance, nearest, cv::DIST_L2, 5, cv::DIST_LABEL_PIXEL);
  std::vector<cv::Point> place(static_cast<size_t>(rows * columns) + 1);
  for (int y = 0; y < rows; ++y) {
    for (int x = 0; x < columns; ++x) {
      if (!outside.at<uint8_t>(y, x)) place[static_cast<size_t>(nearest.at<int>(y, x))] = {x, y};
    }
  }
  for (int y = 0; y < rows; ++y) {
    for (int x = 0; x < columns; ++x) {
      if (!outside.at<uint8_t>(y, x) || cover.at<float>(y, x) <= 0) continue;
      if (distance.at<float>(y, x) > kBorderReach) continue;
      const cv::Point from = place[static_cast<size_t>(nearest.at<int>(y, x))];
      if (bare.changed.row(0, from.y)[from.x] <= 0) continue;
      const float share = spread.at<float>(y, x);
      bare.changed.row(0, y)[x] = share * bare.changed.row(0, from.y)[from.x];
      for (int c = 0; c < 3; ++c) {
        const float by = bare.light.row(c, from.y)[from.x] - light.row(c, from.y)[from.x];
        bare.light.row(c, y)[x] = std::max(0.0f, light.row(c, y)[x] + share * by);
      }
    }
  }
}

}  // namespace

Image<Coverage> InnerPixels(ImageView<Coverage> seen) {
  const cv::Mat inner = InnerMask(seen, kBorderPx);
  Image<Coverage> out(seen.size());
  for (int y = 0; y < inner.rows; ++y) std::copy_n(inner.ptr<float>(y), inner.cols, out.row(0, y));
  return out;
}

BareSurface RemovePrint(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                        const Separation& found) {
  WHEATPASTE_CHECK(light.size() == seen.size() && light.size() == found.shading.size());
  BareSurface bare{Image<SceneLinear>(light.size()), Image<Coverage>(light.size())};
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < light.height(); ++y) {
      std::copy_n(light.row(c, y), light.width(), bare.light.row(c, y));
    }
  }
  Remover remover(light, found);
  const cv::Mat print = remover.FindPrint();
  if (cv::countNonZero(print) == 0) return bare;
  const std::array<Plane, 3> logs = remover.FindBare(print);
  cv::Mat share;
  cv::boxFilter(Widened(print, kPrintMargin - 1), share, CV_32F, cv::Size(5, 5));
  share /= 255;
  ParallelRows(light.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      const float* shares = share.ptr<float>(static_cast<int>(y));
      for (int64_t x = 0; x < light.width(); ++x) {
        const auto i = static_cast<size_t>(y * light.width() + x);
        if (!remover.in()[i] || shares[x] <= 0) continue;
        bare.changed.row(0, y)[x] = shares[x];
        for (int c = 0; c < 3; ++c) {
          const float made = std::exp(logs[static_cast<size_t>(c)][i]);
          bare.light.row(c, y)[x] += shares[x] * (made - light.row(c, y)[x]);
        }
      }
    }
  });
  ChangeBorder(light, seen, remover.in(), bare);
  return bare;
}

}  // namespace wheatpaste
