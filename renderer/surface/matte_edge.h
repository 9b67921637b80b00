// matte_edge.h - how much of a pixel along a cut stands in front: the soft edge of grow_matte.h.
//
// Model   and source: grow_matte.h. Mean colours of both sides are weighted by the cube of how deep a pixel lies in
//         its side, so that thin things are judged by their core.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <opencv2/core.hpp>

namespace wheatpaste {

// What the band's pixels are judged by, one value to each reduced pixel.
struct Sides {
  cv::Mat depth;          // reduced px from the cut, positive in front
  cv::Mat front, behind;  // mean colours near by, linear
  cv::Mat spread;         // variance of colours within the sides near by, per channel
};

// linear  the picture in linear light; cut  255 where something stands in front; band  reach to each side of the
//         cut, px of both.
Sides DescribeSides(const cv::Mat& linear, const cv::Mat& cut, double band);

// Values between reduced pixels, of the photo px at `at`.
struct Between {
  int x0, x1;
  float share;
  Between(int64_t at, int factor, int count) {
    const float place = (static_cast<float>(at) + 0.5f) / static_cast<float>(factor) - 0.5f;
    const float floor = std::floor(place);
    share = place - floor;
    x0 = std::clamp(static_cast<int>(floor), 0, count - 1);
    x1 = std::clamp(static_cast<int>(floor) + 1, 0, count - 1);
  }
};
template <typename T>
T Value(const cv::Mat& of, const Between& x, const Between& y) {
  const T *above = of.ptr<T>(y.x0), *below = of.ptr<T>(y.x1);
  const T top = above[x.x0] * (1 - x.share) + above[x.x1] * x.share;
  const T bottom = below[x.x0] * (1 - x.share) + below[x.x1] * x.share;
  return top * (1 - y.share) + bottom * y.share;
}

// How much of a pixel of colour `c` stands in front. depth, band  photo px; cut_width  of the cut itself, where it
// stands in, photo px; spread  as in Sides.
float AlphaOf(const cv::Vec3f& c, const cv::Vec3f& front, const cv::Vec3f& behind, float spread,
              float depth, float band, float cut_width);

}  // namespace wheatpaste
