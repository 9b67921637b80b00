#include "light/planes.h"

#include <opencv2/imgproc.hpp>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;

}  // namespace

cv::Mat NewPlane(SizePx size) {
  return cv::Mat::zeros(static_cast<int>(size.height), static_cast<int>(size.width), CV_32F);
}

cv::Mat InnerMask(ImageView<Coverage> seen, int border) {
  cv::Mat whole = NewPlane(seen.size());
  for (int64_t y = 0; y < seen.height(); ++y) {
    auto* to = whole.ptr<float>(static_cast<int>(y));
    const float* from = seen.row(y);
    for (int64_t x = 0; x < seen.width(); ++x) to[x] = from[x] >= Coverage::kWhole ? 1.0f : 0.0f;
  }
  cv::Mat inner;
  // A surface that runs off the picture goes on behind its edge.
  const int side = 2 * border + 1;
  cv::erode(whole, inner, cv::Mat::ones(side, side, CV_8U), cv::Point(-1, -1), 1,
            cv::BORDER_REPLICATE);
  if (cv::countNonZero(inner) == 0) return whole;
  return inner;
}

cv::Mat LuminancePlane(ImageView<SceneLinear> light) {
  cv::Mat luminance = NewPlane(light.size());
  ParallelRows(light.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      auto* to = luminance.ptr<float>(static_cast<int>(y));
      for (int64_t x = 0; x < light.width(); ++x) {
        to[x] = LuminanceAt(light, x, y);
      }
    }
  });
  return luminance;
}

cv::Mat BoxSum(const cv::Mat& plane, int radius) {
  cv::Mat sum;
  const int side = 2 * radius + 1;
  cv::boxFilter(plane, sum, CV_32F, cv::Size(side, side), cv::Point(-1, -1), false,
                cv::BORDER_CONSTANT);
  return sum;
}

}  // namespace wheatpaste
