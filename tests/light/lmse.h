// lmse.h - how near an estimate comes to the truth up to a factor of each window: local mean squared error.
//
// Model   windows of 20 x 20 px at every tenth px, top left at 0, 10, ... as far as they fit; in each, over the
//         pixels of the mask,
//             alpha = sum c e / sum e^2  (0 where sum e^2 <= 1e-5),   error = sum (c - alpha e)^2
//         and the score is the sum of the errors over the sum of sum c^2: 0 exact, 1 for an estimate of nothing.
// Source  Grosse, Johnson, Adelson, Freeman 2009, Ground truth dataset and baseline evaluations for intrinsic image
//         algorithms, ICCV, section 4; windows as the authors' published evaluation takes them.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

namespace wheatpaste::test {

inline constexpr int64_t kLmseWindow = 20, kLmseStep = 10;

// truth, estimate, mask  width x height, row by row; mask: counts or not.
inline double Lmse(const std::vector<double>& truth, const std::vector<double>& estimate,
                   const std::vector<char>& mask, int64_t width) {
  const int64_t height = static_cast<int64_t>(truth.size()) / width;
  double error = 0, total = 0;
  for (int64_t y0 = 0; y0 + kLmseWindow <= height; y0 += kLmseStep) {
    for (int64_t x0 = 0; x0 + kLmseWindow <= width; x0 += kLmseStep) {
      double cc = 0, ce = 0, ee = 0;
      for (int64_t y = y0; y < y0 + kLmseWindow; ++y) {
        for (int64_t x = x0; x < x0 + kLmseWindow; ++x) {
          const auto i = static_cast<size_t>(y * width + x);
          if (!mask[i]) continue;
          cc += truth[i] * truth[i];
          ce += truth[i] * estimate[i];
          ee += estimate[i] * estimate[i];
        }
      }
      // sum (c - alpha e)^2 with the alpha that makes it least.
      const double alpha = ee > 1e-5 ? ce / ee : 0;
      error += std::max(0.0, cc - 2 * alpha * ce + alpha * alpha * ee);
      total += cc;
    }
  }
  return total > 0 ? error / total : 0;
}

}  // namespace wheatpaste::test
