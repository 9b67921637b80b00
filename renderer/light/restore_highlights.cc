#include "light/restore_highlights.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace wheatpaste {
namespace {

constexpr int kMostRounds = 400;
constexpr double kAccuracy = 1e-3;  // of the solution, relative

constexpr std::array<std::array<int, 2>, 4> kAround{{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}};

struct Pixels {
  MutableImageView<SceneLinear> light;
  ImageView<Coverage> seen;

  bool Holds(int x, int y) const {
    return x >= 0 && y >= 0 && x < light.width() && y < light.height() &&
           seen.row(y)[x] >= Coverage::kWhole;
  }
  float& At(int c, int x, int y) const { return light.row(c, y)[x]; }
  float Y(int x, int y) const { return Luminance(At(0, x, y), At(1, x, y), At(2, x, y)); }
};

// 255 where at least `bands` bands of a pixel of the surface are clipped.
cv::Mat ClippedBands(const Pixels& pixels, int bands) {
  cv::Mat mask = cv::Mat::zeros(static_cast<int>(pixels.light.height()),
                                static_cast<int>(pixels.light.width()), CV_8U);
  for (int y = 0; y < mask.rows; ++y) {
    for (int x = 0; x < mask.cols; ++x) {
      if (!pixels.Holds(x, y)) continue;
      int clipped = 0;
      for (int c = 0; c < 3; ++c) clipped += pixels.At(c, x, y) >= kClipLevel ? 1 : 0;
      if (clipped >= bands) mask.at<uint8_t>(y, x) = 255;
    }
  }
  return mask;
}

// Patches of a mask, and the mean colour of the surface's pixels that touch each from outside.
struct Patches {
  int count = 1;  // 0 is no patch
  cv::Mat index;
  std::vector<std::array<double, 3>> rim;
  std::vector<int> rim_px;
};
Patches FindPatches(const Pixels& pixels, const cv::Mat& mask) {
  Patches patches;
  patches.count = cv::connectedComponents(mask, patches.index, 8, CV_32S);
  patches.rim.resize(static_cast<size_t>(patches.count));
  patches.rim_px.resize(static_cast<size_t>(patches.count));
  for (int y = 0; y < mask.rows; ++y) {
    for (int x = 0; x < mask.cols; ++x) {
      if (patches.index.at<int>(y, x) == 0) continue;
      const auto at = static_cast<size_t>(patches.index.at<int>(y, x));
      for (const auto& [dx, dy] : kAround) {
        const int u = x + dx, v = y + dy;
        if (!pixels.Holds(u, v) || mask.at<uint8_t>(v, u) != 0) continue;
        ++patches.rim_px[at];
        for (int c = 0; c < 3; ++c) {
          patches.rim[at][static_cast<size_t>(c)] += double{pixels.At(c, u, v)};
        }
      }
    }
  }
  for (size_t i = 1; i < patches.rim.size(); ++i) {
    for (double& band : patches.rim[i]) band /= std::max(1, patches.rim_px[i]);
  }
  return patches;
}

void FollowOtherBands(const Pixels& pixels, const Patches& patches) {
  for (int y = 0; y < patches.index.rows; ++y) {
    for (int x = 0; x < patches.index.cols; ++x) {
      const int index = patches.index.at<int>(y, x);
      if (index == 0 || patches.rim_px[static_cast<size_t>(index)] == 0) continue;
      const std::array<double, 3>& rim = patches.rim[static_cast<size_t>(index)];
      double level = 0;
      int whole = 0;
      for (int c = 0; c < 3; ++c) {
        const float value = pixels.At(c, x, y);
        if (value >= kClipLevel || rim[static_cast<size_t>(c)] <= 0) continue;
        level += double{value} / rim[static_cast<size_t>(c)];
        ++whole;
      }
      if (whole == 0) continue;
      for (int c = 0; c < 3; ++c) {
        float& value = pixels.At(c, x, y);
        if (value < kClipLevel) continue;
        value = std::clamp(static_cast<float>(rim[static_cast<size_t>(c)] * level / whole), value,
                           kMostDome);
      }
    }
  }
}

// laplace(Y) = -c over the pixels of all patches together, by conjugate gradients.
class Dome {
 public:
  Dome(const Pixels& pixels, const cv::Mat& mask, const Patches& patches)
      : mask_(mask), unknown_(mask.size(), CV_32S, cv::Scalar(-1)) {
    std::vector<double> slope(patches.rim.size()), area(slope.size()), edges(slope.size());
    for (int y = 0; y < mask.rows; ++y) {
      for (int x = 0; x < mask.cols; ++x) {
        if (mask.at<uint8_t>(y, x) == 0) continue;
        const auto at = static_cast<size_t>(patches.index.at<int>(y, x));
        if (patches.rim_px[at] == 0) continue;
        unknown_.at<int>(y, x) = static_cast<int>(places_.size());
        places_.push_back({x, y});
        area[at] += 1;
        for (const auto& [dx, dy] : kAround) {
          const auto outside = [&, dx = dx, dy = dy](int steps) {
            const int u = x + steps * dx, v = y + steps * dy;
            return pixels.Holds(u, v) && mask.at<uint8_t>(v, u) == 0;
          };
          if (!outside(1)) continue;
          edges[at] += 1;
          if (!outside(5)) continue;
          // The slope 2 px and 4 px outside, continued to the rim.
          const auto level = [&, dx = dx, dy = dy](int steps) {
            return double{pixels.Y(x + steps * dx, y + steps * dy)};
          };
          const double at2 = (level(1) - level(3)) / 2, at4 = (level(3) - level(5)) / 2;
          slope[at] += std::max(0.0, 2 * at2 - at4);
        }
      }
    }
    right_.resize(places_.size());
    solution_.assign(places_.size(), double{kClipLevel});
    for (size_t i = 0; i < places_.size(); ++i) {
      const auto [x, y] = places_[i];
      const auto at = static_cast<size_t>(patches.index.at<int>(y, x));
      right_[i] = slope[at] / area[at];  // c: mean slope x edges / area
      for (const auto& [dx, dy] : kAround) {
        if (pixels.Holds(x + dx, y + dy) && unknown_.at<int>(y + dy, x + dx) < 0) {
          right_[i] += double{pixels.Y(x + dx, y + dy)};
        }
      }
    }
    // What borders on nothing known of the surface stays level there.
    neighbours_.resize(places_.size());
    for (size_t i = 0; i < places_.size(); ++i) {
      const auto [x, y] = places_[i];
      for (const auto& [dx, dy] : kAround) neighbours_[i] += pixels.Holds(x + dx, y + dy) ? 1 : 0;
    }
  }

  void Solve() {
    const size_t n = places_.size();
    std::vector<double> residual(n), direction, image(n);
    Apply(solution_, image);
    double length = 0, start = 0;
    for (size_t i = 0; i < n; ++i) {
      residual[i] = right_[i] - image[i];
      length += residual[i] * residual[i];
      start += right_[i] * right_[i];
    }
    direction = residual;
    for (int round = 0; round < kMostRounds && length > kAccuracy * kAccuracy * start; ++round) {
      Apply(direction, image);
      double bend = 0;
      for (size_t i = 0; i < n; ++i) bend += direction[i] * image[i];
      if (!(bend > 0)) break;
      const double step = length / bend;
      double next = 0;
      for (size_t i = 0; i < n; ++i) {
        solution_[i] += step * direction[i];
        residual[i] -= step * image[i];
        next += residual[i] * residual[i];
      }
      for (size_t i = 0; i < n; ++i) direction[i] = residual[i] + next / length * direction[i];
      length = next;
    }
  }

  const std::vector<std::array<int, 2>>& places() const { return places_; }
  double value(size_t i) const { return solution_[i]; }

 private:
  void Apply(const std::vector<double>& from, std::vector<double>& to) const {
    for (size_t i = 0; i < places_.size(); ++i) {
      const auto [x, y] = places_[i];
      double sum = neighbours_[i] * from[i];
      for (const auto& [dx, dy] : kAround) {
        const int u = x + dx, v = y + dy;
        if (u < 0 || v < 0 || u >= mask_.cols || v >= mask_.rows) continue;
        const int other = unknown_.at<int>(v, u);
        if (other >= 0) sum -= from[static_cast<size_t>(other)];
      }
      to[i] = sum;
    }
  }

  const cv::Mat& mask_;
  cv::Mat unknown_;  // index of each pixel, or -1
  std::vector<std::array<int, 2>> places_;
  std::vector<int> neighbours_;  // of the surface
  std::vector<double> right_, solution_;
};

}  // namespace

double RestoreHighlights(MutableImageView<SceneLinear> light, ImageView<Coverage> seen) {
  WHEATPASTE_CHECK(light.size() == seen.size());
  const Pixels pixels{light, seen};
  const cv::Mat some = ClippedBands(pixels, 1);
  if (cv::countNonZero(some) == 0) return 0;
  const cv::Mat all = ClippedBands(pixels, 3);
  FollowOtherBands(pixels, FindPatches(pixels, some));
  const Patches patches = FindPatches(pixels, all);
  Dome dome(pixels, all, patches);
  dome.Solve();
  for (size_t i = 0; i < dome.places().size(); ++i) {
    const auto [x, y] = dome.places()[i];
    const std::array<double, 3>& rim =
        patches.rim[static_cast<size_t>(patches.index.at<int>(y, x))];
    const double rim_y = Luminance(rim[0], rim[1], rim[2]);
    for (int c = 0; c < 3; ++c) {
      const double band = dome.value(i) * rim[static_cast<size_t>(c)] / std::max(rim_y, 1e-6);
      pixels.At(c, x, y) = std::clamp(static_cast<float>(band), pixels.At(c, x, y), kMostDome);
    }
  }
  int64_t surface = 0;
  for (int64_t y = 0; y < seen.height(); ++y) {
    for (int64_t x = 0; x < seen.width(); ++x)
      surface += seen.row(y)[x] >= Coverage::kWhole ? 1 : 0;
  }
  return static_cast<double>(cv::countNonZero(all)) /
         static_cast<double>(std::max<int64_t>(1, surface));
}

}  // namespace wheatpaste
