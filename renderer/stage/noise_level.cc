#include "stage/noise_level.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBand = 16;  // rows
constexpr int kWindow = 6;     // px a side, of the four windows
constexpr float kLeastOfFour = 1.3f;
constexpr float kLeastShare = 0.01f;  // of the independent samples' variance that is believed
// A firefly stands above its neighbours by more than this many of their deviations, and by less than so many of its own.
constexpr float kAbove = 4, kOwn = 2;
constexpr size_t kRank = 2;

void ForRows(const SizePx& size, const std::function<void(int64_t)>& work) {
  ParallelRows(size.height, kBand, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) work(y);
  });
}

// Sum over the window of columns [x + left, x + left + kWindow) and rows likewise, as far as they lie within.
double WindowSum(const Image<Coverage>& image, int64_t x, int64_t y, int64_t left, int64_t up) {
  double sum = 0;
  for (int64_t j = std::max<int64_t>(0, y + up); j < std::min(image.height(), y + up + kWindow);
       ++j) {
    const float* row = image.row(0, j);
    for (int64_t i = std::max<int64_t>(0, x + left);
         i < std::min(image.width(), x + left + kWindow); ++i) {
      sum += double{row[i]};
    }
  }
  return sum;
}

// Means over 3 x 3.
Image<Coverage> Smoothed(const Image<Coverage>& image) {
  const SizePx size = image.size();
  Image<Coverage> smooth(size);
  ForRows(size, [&](int64_t y) {
    for (int64_t x = 0; x < size.width; ++x) {
      float total = 0, count = 0;
      for (int64_t j = std::max<int64_t>(0, y - 1); j <= std::min(size.height - 1, y + 1); ++j) {
        for (int64_t i = std::max<int64_t>(0, x - 1); i <= std::min(size.width - 1, x + 1); ++i) {
          total += image.row(0, j)[i];
          ++count;
        }
      }
      smooth.row(0, y)[x] = total / count;
    }
  });
  return smooth;
}

}  // namespace

NoisyLight NoisyMean(const Image<SceneLinear>& sum, const Image<SceneLinear>& squared,
                     int samples) {
  const SizePx size = sum.size();
  NoisyLight light{Image<SceneLinear>(size), Image<Coverage>(size)};
  const float n = static_cast<float>(samples);
  ForRows(size, [&](int64_t y) {
    float* variance = light.variance.row(0, y);
    for (int c = 0; c < 3; ++c) {
      const float *s = sum.row(c, y), *s2 = squared.row(c, y);
      float* value = light.value.row(c, y);
      for (int64_t x = 0; x < size.width; ++x) {
        value[x] = s[x] / n;
        variance[x] += std::max(0.0f, s2[x] / n - value[x] * value[x]) / (3 * (n - 1));
      }
    }
  });
  return light;
}

void RemoveFireflies(NoisyLight& light) {
  const SizePx size = light.value.size();
  NoisyLight clean{light.value.Copy(), light.variance.Copy()};
  struct Neighbour {
    float luminance, variance;
    int64_t x, y;
  };
  ForRows(size, [&](int64_t y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const float own = LuminanceAt(light.value.view(), x, y);
      std::array<Neighbour, 24> near;
      size_t count = 0, above = 0;
      for (int64_t j = std::max<int64_t>(0, y - 2); j <= std::min(size.height - 1, y + 2); ++j) {
        for (int64_t i = std::max<int64_t>(0, x - 2); i <= std::min(size.width - 1, x + 2); ++i) {
          if (i == x && j == y) continue;
          near[count] = {LuminanceAt(light.value.view(), i, j), light.variance.row(0, j)[i], i, j};
          above += near[count++].luminance >= own ? 1 : 0;
        }
      }
      if (above > kRank || count <= kRank) continue;
      const auto begin = near.begin(), end = begin + static_cast<int64_t>(count);
      const auto middle = begin + static_cast<int64_t>(count / 2);
      std::nth_element(begin, middle, end, [](const Neighbour& a, const Neighbour& b) {
        return a.variance < b.variance;
      });
      const float variance = middle->variance;
      const auto third = begin + kRank;
      std::nth_element(begin, third, end, [](const Neighbour& a, const Neighbour& b) {
        return a.luminance > b.luminance;
      });
      const float excess = own - third->luminance;
      if (excess <= kAbove * std::sqrt(variance) ||
          excess >= kOwn * std::sqrt(light.variance.row(0, y)[x])) {
        continue;
      }
      for (int c = 0; c < 3; ++c) {
        clean.value.row(c, y)[x] = light.value.row(c, third->y)[third->x];
      }
      clean.variance.row(0, y)[x] = variance;
    }
  });
  light = std::move(clean);
}

void CalibrateNoise(NoisyLight& light) {
  const SizePx size = light.value.size();
  light.variance = Smoothed(light.variance);
  Image<Coverage> found(size), told(size);
  ForRows(size, [&](int64_t y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const std::array<std::array<int64_t, 2>, 4> near{
          {{x - 1, y}, {x + 1, y}, {x, y - 1}, {x, y + 1}}};
      float count = 0, variance = 0;
      std::array<float, 3> mean{};
      for (const auto& [i, j] : near) {
        if (i < 0 || j < 0 || i >= size.width || j >= size.height) continue;
        ++count;
        variance += light.variance.row(0, j)[i];
        for (int c = 0; c < 3; ++c) mean[static_cast<size_t>(c)] += light.value.row(c, j)[i];
      }
      if (count == 0) continue;
      float squares = 0;
      for (int c = 0; c < 3; ++c) {
        const float e = light.value.row(c, y)[x] - mean[static_cast<size_t>(c)] / count;
        squares += e * e / 3;
      }
      found.row(0, y)[x] = squares;
      told.row(0, y)[x] = light.variance.row(0, y)[x] + variance / (count * count);
    }
  });
  ForRows(size, [&](int64_t y) {
    float* variance = light.variance.row(0, y);
    for (int64_t x = 0; x < size.width; ++x) {
      double rho = 1;
      for (const int64_t left : {int64_t{0}, int64_t{1} - kWindow}) {
        for (const int64_t up : {int64_t{0}, int64_t{1} - kWindow}) {
          const double expected = WindowSum(told, x, y, left, up);
          if (expected <= 0) continue;
          rho = std::min(rho, double{kLeastOfFour} * WindowSum(found, x, y, left, up) / expected);
        }
      }
      variance[x] *= std::max(kLeastShare, static_cast<float>(rho));
    }
  });
}

}  // namespace wheatpaste
