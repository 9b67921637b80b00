#include "stage/light_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <tuple>

#include "base/check.h"

namespace wheatpaste {
namespace {

constexpr float kPi = std::numbers::pi_v<float>;
// Values to each place where searching begins: few, so that they stay at hand.
constexpr size_t kStride = 4;

}  // namespace

Surrounding::Surrounding(ImageView<SceneLinear> picture, double turn_rad)
    : width_(static_cast<int>(picture.width())),
      height_(static_cast<int>(picture.height())),
      turn_cos_(static_cast<float>(std::cos(turn_rad))),
      turn_sin_(static_cast<float>(std::sin(turn_rad))) {
  WHEATPASTE_CHECK(picture.width() > 0 && picture.height() > 0);
  WHEATPASTE_CHECK_OP(picture.width(), <, 65536);
  pixels_.resize(static_cast<size_t>(picture.size().area()));
  Packed* out = pixels_.data();
  for (int64_t y = 0; y < picture.height(); ++y) {
    for (int64_t x = 0; x < picture.width(); ++x, ++out) {
      float most = 0;
      for (int c = 0; c < 3; ++c) most = std::max(most, picture.row(c, y)[x]);
      if (!(most > 0)) continue;
      const float unit = std::ldexp(1.0f, std::max(std::ilogb(most) - 15, -126));
      out->unit = static_cast<uint16_t>(std::bit_cast<uint32_t>(unit) >> 16);
      for (int c = 0; c < 3; ++c) {
        out->band[c] = static_cast<uint16_t>(
            std::clamp(std::round(picture.row(c, y)[x] / unit), 0.0f, 65535.0f));
      }
    }
  }
}

Eigen::Vector2f Surrounding::PxOf(const Eigen::Vector3f& direction) const {
  // Turned back; azimuth from -z towards +x.
  const float x = turn_cos_ * direction.x() - turn_sin_ * direction.z();
  const float z = turn_sin_ * direction.x() + turn_cos_ * direction.z();
  const float azimuth = std::atan2(x, -z);
  const float theta = std::acos(std::clamp(direction.y(), -1.0f, 1.0f));
  const float across = (azimuth / (2 * kPi) + 0.5f) * static_cast<float>(width_);
  return {across < static_cast<float>(width_) ? across : 0.0f,
          theta / kPi * static_cast<float>(height_)};
}

Eigen::Array3f Surrounding::LightAt(const Eigen::Vector2f& px) const {
  const float x = px.x() - 0.5f, y = px.y() - 0.5f;
  const int x0 = FloorOf(x), y0 = FloorOf(y);
  const float tx = x - static_cast<float>(x0), ty = y - static_cast<float>(y0);
  const int left = x0 < 0 ? width_ - 1 : x0, right = x0 + 1 < width_ ? x0 + 1 : 0;
  const int above = std::clamp(y0, 0, height_ - 1), below = std::clamp(y0 + 1, 0, height_ - 1);
  return (1 - ty) * ((1 - tx) * pixel(left, above) + tx * pixel(right, above)) +
         ty * ((1 - tx) * pixel(left, below) + tx * pixel(right, below));
}

Eigen::Array3f Surrounding::Light(const Eigen::Vector3f& direction) const {
  return LightAt(PxOf(direction));
}

LightMap::Shares::Shares(int rows, int values)
    : count_(static_cast<size_t>(values)),
      begins_((count_ + kStride - 1) / kStride),
      sums_(static_cast<size_t>(rows) * (count_ + 1)),
      begin_(static_cast<size_t>(rows) * begins_) {}

void LightMap::Shares::Fill(int row, const std::vector<double>& values) {
  WHEATPASTE_CHECK_OP(values.size(), ==, count_);
  float* const sums = &sums_[sums_at(row)];
  double total = 0;
  for (const double v : values) total += v;
  double sum = 0;
  for (size_t i = 0; i < count_; ++i) {
    sum += total > 0 ? values[i] / total : 1.0 / static_cast<double>(count_);
    sums[i + 1] = static_cast<float>(sum);
  }
  sums[count_] = 1;
  size_t i = 0;
  for (size_t k = 0; k < begins_; ++k) {
    const float from = static_cast<float>(k) / static_cast<float>(begins_);
    while (i + 1 < count_ && sums[i + 1] <= from) ++i;
    begin_[static_cast<size_t>(row) * begins_ + k] = static_cast<uint16_t>(i);
  }
}

std::pair<int, float> LightMap::Shares::Find(int row, float number) const {
  const float* const sums = &sums_[sums_at(row)];
  size_t i = begin_[begin_at(row, number)];
  while (i > 0 && sums[i] > number) --i;
  while (i + 1 < count_ && sums[i + 1] <= number) ++i;
  const float share = sums[i + 1] - sums[i];
  const float within = share > 0 ? (number - sums[i]) / share : 0.5f;
  return {static_cast<int>(i), std::clamp(within, 0.0f, 1.0f)};
}

LightMap::LightMap(const WorldLightMap& map)
    : Surrounding(map.sky->view(), map.turn_rad), rows_(height_, width_), row_shares_(1, height_) {
  const auto luminance = [&](int x, int y) {
    const Eigen::Array3f p = pixel((x + width_) % width_, std::clamp(y, 0, height_ - 1));
    return std::max(0.0, Luminance(double{p[0]}, double{p[1]}, double{p[2]}));
  };
  std::vector<double> values(static_cast<size_t>(width_)), row_values;
  double sum = 0, sin_sum = 0;
  for (int y = 0; y < height_; ++y) {
    const double sin_theta = std::sin(std::numbers::pi * (y + 0.5) / height_);
    double row = 0;
    for (int x = 0; x < width_; ++x) {
      // The mean over a pixel of what is straight between pixels: 1/8, 6/8, 1/8 each way.
      double mean = 0;
      for (int dy = -1; dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
          mean += (dx == 0 ? 0.75 : 0.125) * (dy == 0 ? 0.75 : 0.125) * luminance(x + dx, y + dy);
        }
      }
      values[static_cast<size_t>(x)] = mean;
      row += mean;
    }
    rows_.Fill(y, values);
    row_values.push_back(row * sin_theta);
    sum += row * sin_theta / width_;
    sin_sum += sin_theta;
  }
  row_shares_.Fill(0, row_values);
  mean_ = static_cast<float>(sum / sin_sum);
}

float LightMap::Density(int x, int y, float sin_theta) const {
  const float share = row_shares_.share(0, y) * rows_.share(y, x);
  return share * static_cast<float>(width_) * static_cast<float>(height_) /
         (2 * kPi * kPi * std::max(sin_theta, 1e-6f));
}

LightMap::Drawn LightMap::Draw(Pair numbers) const {
  const auto [y, down] = row_shares_.Find(0, numbers.y);
  const auto [x, across] = rows_.Find(y, numbers.x);
  const Eigen::Vector2f px(static_cast<float>(x) + across, static_cast<float>(y) + down);
  const float theta = kPi * px.y() / static_cast<float>(height_);
  const float azimuth = 2 * kPi * (px.x() / static_cast<float>(width_) - 0.5f);
  const float sin_theta = std::sin(theta);
  const float from_x = sin_theta * std::sin(azimuth), from_z = -sin_theta * std::cos(azimuth);
  Drawn drawn;
  drawn.direction = {turn_cos_ * from_x + turn_sin_ * from_z, std::cos(theta),
                     -turn_sin_ * from_x + turn_cos_ * from_z};
  drawn.light = LightAt(px);
  drawn.density = Density(x, y, sin_theta);
  return drawn;
}

void LightMap::Fetch(std::span<const Pair> numbers) const {
  constexpr size_t kMost = 16;
  for (; !numbers.empty(); numbers = numbers.subspan(std::min(kMost, numbers.size()))) {
    const size_t count = std::min(kMost, numbers.size());
    std::array<int, kMost> rows;
    std::array<float, kMost> down;
    for (size_t i = 0; i < count; ++i) {
      std::tie(rows[i], down[i]) = row_shares_.Find(0, numbers[i].y);
      rows_.FetchBegin(rows[i], numbers[i].x);
    }
    for (size_t i = 0; i < count; ++i) rows_.FetchSums(rows[i], numbers[i].x);
    for (size_t i = 0; i < count; ++i) {
      const auto [x, across] = rows_.Find(rows[i], numbers[i].x);
      FetchLightAt({static_cast<float>(x) + across, static_cast<float>(rows[i]) + down[i]});
    }
  }
}

Eigen::Vector2f LightMap::FetchPx(const Eigen::Vector3f& direction) const {
  const Eigen::Vector2f px = PxOf(direction);
  FetchLightAt(px);
  rows_.FetchShare(std::min(static_cast<int>(px.y()), height_ - 1),
                   std::min(static_cast<int>(px.x()), width_ - 1));
  return px;
}

LightMap::Seen LightMap::Look(const Eigen::Vector3f& direction, const Eigen::Vector2f& px) const {
  const int x = std::min(static_cast<int>(px.x()), width_ - 1);
  const int y = std::min(static_cast<int>(px.y()), height_ - 1);
  return {LightAt(px), Density(x, y, std::hypot(direction.x(), direction.z()))};
}

}  // namespace wheatpaste
