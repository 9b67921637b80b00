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

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "stage/sampler.h"
#include "stage/world.h"

namespace wheatpaste {

// An equirectangular picture looked up by direction. Pixels r, g, b, 0 side by side.
class Surrounding {
 public:
  Surrounding(ImageView<SceneLinear> picture, double turn_rad);
  Eigen::Array3f Light(const Eigen::Vector3f& direction) const;

 protected:
  // Px of the picture; x in [0, width), y in [0, height].
  Eigen::Vector2f PxOf(const Eigen::Vector3f& direction) const;
  Eigen::Array3f LightAt(const Eigen::Vector2f& px) const;
  const float* pixel(int x, int y) const {
    return &pixels_[4 * (static_cast<size_t>(y) * static_cast<size_t>(width_) +
                         static_cast<size_t>(x))];
  }
  int width_, height_;
  float turn_cos_, turn_sin_;

 private:
  std::vector<float> pixels_;
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

  struct Seen {
    Eigen::Array3f light;
    float density = 0;  // with which Draw finds the direction
  };
  Seen Look(const Eigen::Vector3f& direction) const;

  // Luminance on the mean over the sphere.
  float mean() const { return mean_; }

 private:
  // Shares of a row of values: sums before each, and where to begin searching.
  struct Shares {
    void Fill(const std::vector<double>& values);
    // Which value holds `number`, and where in it.
    std::pair<int, float> Find(float number) const;
    float share(int i) const {
      return sums[static_cast<size_t>(i) + 1] - sums[static_cast<size_t>(i)];
    }
    std::vector<float> sums;
    std::vector<uint16_t> begin;
  };
  float Density(int x, int y, float sin_theta) const;

  std::vector<Shares> rows_;
  Shares row_shares_;
  float mean_ = 0;
};

}  // namespace wheatpaste
