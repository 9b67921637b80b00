#include "light/grain_patches.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/parallel.h"
#include "colour/srgb.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMostPatches = 16384;
constexpr double kMostSlope = 0.3;  // of the level, from one side of a patch to the other

Patch MeasurePatch(ImageView<SceneLinear> light, int64_t x0, int64_t y0, const Quantum& quantum) {
  Patch patch;
  std::array<std::array<float, kPatchPx>, 3> rest;
  constexpr float kMiddle = (kPatchSide - 1) / 2.0f;
  constexpr float kSpread =
      kPatchSide * kPatchSide * (kPatchSide * kPatchSide - 1) / 12.0f;  // sum of (x - middle)^2
  for (size_t c = 0; c < 3; ++c) {
    PatchBand& band = patch.bands[c];
    auto& r = rest[c];
    bool clipped = false;
    float sum = 0;
    for (int y = 0; y < kPatchSide; ++y) {
      const float* row = light.row(static_cast<int>(c), y0 + y) + x0;
      for (int x = 0; x < kPatchSide; ++x) {
        r[static_cast<size_t>(y * kPatchSide + x)] = row[x];
        clipped |= quantum.Clipped(row[x]);
        sum += row[x];
      }
    }
    const float mean = sum / kPatchPx;
    float slope_x = 0, slope_y = 0;
    for (int i = 0; i < kPatchPx; ++i) {
      r[static_cast<size_t>(i)] -= mean;
      slope_x += r[static_cast<size_t>(i)] * (static_cast<float>(i % kPatchSide) - kMiddle);
      slope_y += r[static_cast<size_t>(i)] * (static_cast<float>(i / kPatchSide) - kMiddle);
    }
    slope_x /= kSpread;
    slope_y /= kSpread;
    float squares = 0;
    for (int i = 0; i < kPatchPx; ++i) {
      float& value = r[static_cast<size_t>(i)];
      value -= slope_x * (static_cast<float>(i % kPatchSide) - kMiddle) +
               slope_y * (static_cast<float>(i / kPatchSide) - kMiddle);
      squares += value * value;
    }
    const auto at = [&r](int x, int y) { return r[static_cast<size_t>(y * kPatchSide + x)]; };
    std::array<float, 4> lags{};
    for (int y = 0; y < kPatchSide; ++y) {
      for (int x = 0; x < kPatchSide; ++x) {
        if (x + 1 < kPatchSide) lags[0] += at(x, y) * at(x + 1, y);
        if (x + 2 < kPatchSide) lags[1] += at(x, y) * at(x + 2, y);
        if (y + 1 < kPatchSide) lags[2] += at(x, y) * at(x, y + 1);
        if (y + 2 < kPatchSide) lags[3] += at(x, y) * at(x, y + 2);
      }
    }
    for (size_t k = 0; k < 4; ++k) band.lags[k] = lags[k] / (kPatchSide * (kPatchSide - 1 - k % 2));
    band.level = mean;
    band.variance = squares / static_cast<float>(kPlaneDof) - quantum.Variance(mean);
    band.clipped = clipped || !std::isfinite(squares);
    if (!std::isfinite(squares)) band.level = band.variance = 0;
    const float tilt = kPatchSide * std::max(std::abs(slope_x), std::abs(slope_y));
    const auto bound = static_cast<float>(kMostSlope) * std::max(mean, 0.0f);
    band.steep = tilt > bound + 2 * std::sqrt(std::max(0.0f, band.variance));
  }
  for (int k = 0; k < 3; ++k) {
    const auto& p = rest[static_cast<size_t>(k == 1 ? 1 : 0)];
    const auto& q = rest[static_cast<size_t>(k == 0 ? 1 : 2)];
    patch.cross[static_cast<size_t>(k)] =
        std::inner_product(p.begin(), p.end(), q.begin(), 0.0f) / static_cast<float>(kPlaneDof);
  }
  return patch;
}

}  // namespace

Quantum::Quantum(const GrainCodes& codes) {
  if (codes.depth <= 0) {
    high = 1 - 1e-6f;
    return;
  }
  step_at_code = static_cast<float>(1.0 / (std::ldexp(1.0, codes.depth) - 1));
  share = static_cast<float>(std::min(1.0, codes.scale * codes.scale) / 12);
  low = static_cast<float>(0.5 * LinearFromSrgb(step_at_code));
  high = static_cast<float>(LinearFromSrgb(1 - 1.05 * double{step_at_code}));
}

bool Quantum::Clipped(float value) const {
  if (step_at_code == 0) return value == 0 || (value >= high && value <= 2 - high);
  return std::abs(value) <= low || value >= high;
}

float Quantum::Variance(double level) const {
  if (step_at_code == 0) return 0;
  const double y = std::clamp(level, 0.0, 1.0);
  // d linear / d encoded of sRGB.
  const double v = SrgbFromLinear(y);
  const double slope = v <= 0.04045 ? 1 / 12.92 : 2.4 / 1.055 * std::pow((v + 0.055) / 1.055, 1.4);
  const double step = slope * double{step_at_code};
  return static_cast<float>(step * step) * share;
}

std::vector<Patch> MeasurePatches(ImageView<SceneLinear> light, const Quantum& quantum) {
  const SizePx size = light.size();
  if (size.width < kPatchSide || size.height < kPatchSide) return {};
  const auto area = static_cast<double>(size.area());
  // An odd step: patches fall on JPEG's blocks of 8 px in every way.
  const int64_t step =
      std::max<int64_t>(kPatchSide,
                        static_cast<int64_t>(std::ceil(std::sqrt(area / kMostPatches)))) |
      1;
  const int64_t columns = (size.width - kPatchSide) / step + 1;
  const int64_t rows = (size.height - kPatchSide) / step + 1;
  std::vector<Patch> patches(static_cast<size_t>(columns * rows));
  ParallelRows(rows, 4, [&](int64_t r0, int64_t r1) {
    for (int64_t row = r0; row < r1; ++row) {
      for (int64_t column = 0; column < columns; ++column) {
        patches[static_cast<size_t>(row * columns + column)] =
            MeasurePatch(light, column * step, row * step, quantum);
      }
    }
  });
  return patches;
}

}  // namespace wheatpaste
