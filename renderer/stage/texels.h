// texels.h - a picture as textures are asked for it: all bands of a pixel side by side, so that a place waits for memory once and not for
//         each band.
//
// Threads const objects; any thread.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "base/large_pages.h"
#include "image/image.h"
#include "stage/floor_of.h"

namespace wheatpaste {

// Bands: how many are kept of a pixel, at least the picture's own.
template <int Bands>
class Texels {
 public:
  using Value = Eigen::Array<float, Bands, 1>;

  template <typename Colour>
  explicit Texels(const Image<Colour>& picture)
      : Texels(static_cast<int>(picture.width()), static_cast<int>(picture.height())) {
    static_assert(Colour::kPlanes <= Bands);
    for (int c = 0; c < Colour::kPlanes; ++c) {
      for (int64_t y = 0; y < picture.height(); ++y) {
        const float* const from = picture.row(c, y);
        auto* const to = &pixels_[static_cast<size_t>(y * picture.width())];
        for (int64_t x = 0; x < picture.width(); ++x) to[x][static_cast<size_t>(c)] = from[x];
      }
    }
  }

  // The picture's means over blocks: halved as long as both sides stay even and none falls below `side` px.
  Texels Reduced(int side) const {
    const bool halves =
        width_ % 2 == 0 && height_ % 2 == 0 && std::min(width_, height_) >= 2 * side;
    return halves ? Halved().Reduced(side) : *this;
  }

  // at  in periods of the picture, y up. Bilinear between pixel centres, round about both ways.
  Value Repeating(const Eigen::Vector2f& at) const {
    const float x = Part(at.x()) * static_cast<float>(width_) - 0.5f;
    const float y = (1 - Part(at.y())) * static_cast<float>(height_) - 0.5f;
    const int x0 = FloorOf(x), y0 = FloorOf(y);
    const float tx = x - static_cast<float>(x0), ty = y - static_cast<float>(y0);
    return Blend(Wrap(x0, width_), Wrap(x0 + 1, width_), Wrap(y0, height_), Wrap(y0 + 1, height_),
                 tx, ty);
  }

  // Asks memory for what Repeating reads there.
  [[gnu::always_inline]] void Fetch(const Eigen::Vector2f& at) const {
    const int y = Wrap(FloorOf((1 - Part(at.y())) * static_cast<float>(height_) - 0.5f), height_);
    const int x = Wrap(FloorOf(Part(at.x()) * static_cast<float>(width_) - 0.5f), width_);
    AskFor(&pixels_[index(x, y)]);
    AskFor(&pixels_[index(x, Wrap(y + 1, height_))]);
  }

  // at  in px; of less than 2^31. Its edge pixels run on for ever.
  Value Clamped(const Eigen::Vector2f& at) const {
    const float x = at.x() - 0.5f, y = at.y() - 0.5f;
    const int x0 = FloorOf(x), y0 = FloorOf(y);
    const float tx = x - static_cast<float>(x0), ty = y - static_cast<float>(y0);
    const auto within = [](int i, int n) { return std::clamp(i, 0, n - 1); };
    return Blend(within(x0, width_), within(x0 + 1, width_), within(y0, height_),
                 within(y0 + 1, height_), tx, ty);
  }

 private:
  Texels(int width, int height)
      : width_(width),
        height_(height),
        pixels_(static_cast<size_t>(width) * static_cast<size_t>(height)) {}
  Texels Halved() const {
    Texels half(width_ / 2, height_ / 2);
    for (int y = 0; y < half.height_; ++y) {
      for (int x = 0; x < half.width_; ++x) {
        Value::Map(half.pixels_[half.index(x, y)].data()) =
            (at(2 * x, 2 * y) + at(2 * x + 1, 2 * y) + at(2 * x, 2 * y + 1) +
             at(2 * x + 1, 2 * y + 1)) /
            4;
      }
    }
    return half;
  }
  // Part of a period, [0, 1).
  static float Part(float x) {
    if (!(std::abs(x) < 0x1p31f)) return 0;
    const float part = x - static_cast<float>(FloorOf(x));
    return part < 1 ? part : 0;
  }
  static int Wrap(int i, int n) { return i < 0 ? i + n : i >= n ? i - n : i; }
  size_t index(int x, int y) const {
    return static_cast<size_t>(y) * static_cast<size_t>(width_) + static_cast<size_t>(x);
  }
  Eigen::Map<const Value> at(int x, int y) const {
    return Eigen::Map<const Value>(pixels_[index(x, y)].data());
  }
  Value Blend(int left, int right, int above, int below, float tx, float ty) const {
    return (1 - ty) * ((1 - tx) * at(left, above) + tx * at(right, above)) +
           ty * ((1 - tx) * at(left, below) + tx * at(right, below));
  }

  int width_, height_;
  std::vector<std::array<float, Bands>, LargePages<std::array<float, Bands>>> pixels_;
};

}  // namespace wheatpaste
