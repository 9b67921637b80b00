#include "light/material_modes.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace wheatpaste {
namespace {

// Cells along each axis and their width. Reflectances beyond the ends count as the ends.
constexpr std::array<int, 3> kCells{48, 48, 64};
constexpr std::array<double, 3> kCellWidth{0.05, 0.05, 0.1};
constexpr std::array<double, 3> kSpread{kModeChroma, kModeChroma, kModeLevel};
// A material counts fully from about this share of the dominating one's height on.
constexpr float kSmallMaterial = 0.01f;

}  // namespace

size_t MaterialModes::CellOf(const LogReflectance& reflectance) const {
  size_t at = 0;
  for (size_t axis = 0; axis < 3; ++axis) {
    const auto steps = std::lround((reflectance[axis] - centre_[axis]) / kCellWidth[axis]);
    const auto cell = std::clamp<int64_t>(steps + kCells[axis] / 2, 0, kCells[axis] - 1);
    at = at * static_cast<size_t>(kCells[axis]) + static_cast<size_t>(cell);
  }
  return at;
}

void MaterialModes::Blur(std::vector<float>& cells) const {
  size_t stride = 1;
  for (size_t axis = 3; axis-- > 0;) {
    const auto count = static_cast<size_t>(kCells[axis]);
    const double sigma = kSpread[axis] / kCellWidth[axis];
    const auto radius = static_cast<int>(std::ceil(2.5 * sigma));
    std::vector<float> kernel, line(count);
    for (int k = -radius; k <= radius; ++k) {
      kernel.push_back(static_cast<float>(std::exp(-k * k / (2 * sigma * sigma))));
    }
    for (size_t base = 0; base < cells.size(); ++base) {
      if (base / stride % count != 0) continue;
      bool empty = true;
      for (size_t i = 0; i < count; ++i) {
        line[i] = cells[base + i * stride];
        empty &= line[i] == 0;
      }
      if (empty) continue;
      for (int i = 0; i < static_cast<int>(count); ++i) {
        float sum = 0;
        for (int k = std::max(-radius, -i); k <= std::min(radius, static_cast<int>(count) - 1 - i);
             ++k) {
          sum += kernel[static_cast<size_t>(k + radius)] * line[static_cast<size_t>(i + k)];
        }
        cells[base + static_cast<size_t>(i) * stride] = sum;
      }
    }
    stride *= count;
  }
}

MaterialModes::MaterialModes(const std::vector<LogReflectance>& samples) {
  WHEATPASTE_CHECK(!samples.empty());
  std::vector<float> values(samples.size());
  for (size_t axis = 0; axis < 3; ++axis) {
    std::transform(samples.begin(), samples.end(), values.begin(),
                   [axis](const LogReflectance& sample) { return sample[axis]; });
    const auto middle = values.begin() + static_cast<int64_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    centre_[axis] = *middle;
  }
  count_.assign(static_cast<size_t>(kCells[0] * kCells[1] * kCells[2]), 0);
  moment_ = count_;
  for (const LogReflectance& sample : samples) {
    const size_t cell = CellOf(sample);
    count_[cell] += 1;
    moment_[cell] += sample[2] - centre_[2];
  }
  Blur(count_);
  Blur(moment_);
  const auto top = std::max_element(count_.begin(), count_.end());
  highest_ = *top;
  // Cell of the top, back to a place.
  auto cell = static_cast<size_t>(top - count_.begin());
  LogReflectance peak{};
  for (size_t axis = 3; axis-- > 0;) {
    const auto count = static_cast<size_t>(kCells[axis]);
    const auto steps = static_cast<double>(cell % count) - static_cast<double>(count / 2);
    peak[axis] = centre_[axis] + static_cast<float>(steps * kCellWidth[axis]);
    cell /= count;
  }
  std::array<double, 3> sum{};
  double total = 0;
  for (const LogReflectance& sample : samples) {
    bool near = true;
    for (size_t axis = 0; axis < 3; ++axis) {
      near &= std::abs(sample[axis] - peak[axis]) <= static_cast<float>(kSpread[axis]);
    }
    if (!near) continue;
    total += 1;
    for (size_t axis = 0; axis < 3; ++axis) sum[axis] += double{sample[axis]};
  }
  for (size_t axis = 0; axis < 3; ++axis) {
    dominating_[axis] = total > 0 ? static_cast<float>(sum[axis] / total) : peak[axis];
  }
}

MaterialModes::Mode MaterialModes::Near(const LogReflectance& reflectance) const {
  const size_t cell = CellOf(reflectance);
  if (count_[cell] <= 0) return {reflectance[2], 0};
  const float share = count_[cell] / highest_;
  return {centre_[2] + moment_[cell] / count_[cell], share / (share + kSmallMaterial)};
}

}  // namespace wheatpaste
