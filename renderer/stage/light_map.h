// light_map.h - light from all around: what comes from a direction, and directions drawn where it is bright.
//
// Model   straight between the picture's pixels (bilinear), round about in azimuth. A direction is drawn pixel by pixel: a row, then a pixel
//         of it, with shares of their mean luminance times sin theta, even in azimuth and theta within it. With the pixel's share s, W x H px:
//             density = s W H / (2 pi^2 sin theta)   (per solid angle)
//         Shares keep the order of the numbers they are drawn with, so even numbers make even directions.
// Source  Pharr, Jakob, Humphreys 2023, Physically Based Rendering, 4th ed., 12.5 (drawing); Chen, Asau 1974 (a table that says where to begin
//         searching).
// Threads const objects; any thread.
#pragma once

#include <algorithm>
#include <bit>
#include <cstdint>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "base/large_pages.h"
#include "stage/floor_of.h"
#include "stage/sampler.h"
#include "stage/world.h"

namespace wheatpaste {

// An equirectangular picture looked up by direction. Looking up waits for memory more than for anything else, so a pixel is packed:
// 16 bits of each band and one exponent, error 2^-17 of its brightest band.
class Surrounding {
 public:
  Surrounding(ImageView<SceneLinear> picture, double turn_rad);
  Eigen::Array3f Light(const Eigen::Vector3f& direction) const;

 protected:
  // Px of the picture; x in [0, width), y in [0, height].
  Eigen::Vector2f PxOf(const Eigen::Vector3f& direction) const;
  Eigen::Array3f LightAt(const Eigen::Vector2f& px) const;
  // Asks memory for what LightAt reads.
  [[gnu::always_inline]] void FetchLightAt(const Eigen::Vector2f& px) const {
    const int x = std::max(FloorOf(px.x() - 0.5f), 0), y = FloorOf(px.y() - 0.5f);
    AskFor(&packed(x, std::clamp(y, 0, height_ - 1)));
    AskFor(&packed(x, std::clamp(y + 1, 0, height_ - 1)));
  }
  Eigen::Array3f pixel(int x, int y) const {
    const Packed& p = packed(x, y);
    return std::bit_cast<float>(uint32_t{p.unit} << 16) *
           Eigen::Array3f(p.band[0], p.band[1], p.band[2]);
  }
  int width_, height_;
  float turn_cos_, turn_sin_;

 private:
  struct Packed {
    uint16_t band[3] = {0, 0, 0};
    uint16_t unit = 0;  // upper half of a float, a power of 2
  };
  const Packed& packed(int x, int y) const {
    return pixels_[static_cast<size_t>(y) * static_cast<size_t>(width_) + static_cast<size_t>(x)];
  }
  std::vector<Packed, LargePages<Packed>> pixels_;
};

class LightMap : public Surrounding {
 public:
  explicit LightMap(const WorldLightMap& map);

  struct Drawn {
    Eigen::Vector3f direction;
    Eigen::Array3f light;
    float density = 0;
  };
  Drawn Draw(Pair numbers) const;
  // Asks memory for what Draw reads with these numbers.
  void Fetch(std::span<const Pair> numbers) const;

  struct Seen {
    Eigen::Array3f light;
    float density = 0;  // with which Draw finds the direction
  };
  Seen Look(const Eigen::Vector3f& direction) const { return Look(direction, PxOf(direction)); }
  // px  PxOf(direction).
  Seen Look(const Eigen::Vector3f& direction, const Eigen::Vector2f& px) const;
  // PxOf the direction; memory is asked for what Look reads there.
  Eigen::Vector2f FetchPx(const Eigen::Vector3f& direction) const;

  // Luminance on the mean over the sphere.
  float mean() const { return mean_; }

 private:
  // Shares of rows of values: of each row the sums before each value, and where to begin searching.
  class Shares {
   public:
    Shares(int rows, int values);
    void Fill(int row, const std::vector<double>& values);
    // Which value of the row holds `number`, and where in it.
    std::pair<int, float> Find(int row, float number) const;
    // Ask memory for what Find reads first, and then, with that at hand, for the rest.
    [[gnu::always_inline]] void FetchBegin(int row, float number) const {
      AskFor(&begin_[begin_at(row, number)]);
    }
    [[gnu::always_inline]] void FetchSums(int row, float number) const {
      AskFor(&sums_[sums_at(row) + begin_[begin_at(row, number)]]);
    }
    [[gnu::always_inline]] void FetchShare(int row, int i) const {
      AskFor(&sums_[sums_at(row) + static_cast<size_t>(i)]);
    }
    float share(int row, int i) const {
      const float* const at = &sums_[sums_at(row) + static_cast<size_t>(i)];
      return at[1] - at[0];
    }

   private:
    size_t sums_at(int row) const { return static_cast<size_t>(row) * (count_ + 1); }
    size_t begin_at(int row, float number) const {
      const auto k = static_cast<size_t>(number * static_cast<float>(begins_));
      return static_cast<size_t>(row) * begins_ + std::min(k, begins_ - 1);
    }
    size_t count_, begins_;
    std::vector<float, LargePages<float>> sums_;
    std::vector<uint16_t, LargePages<uint16_t>> begin_;
  };
  float Density(int x, int y, float sin_theta) const;

  Shares rows_, row_shares_;  // row_shares_: of one row, the rows' own sums
  float mean_ = 0;
};

}  // namespace wheatpaste
