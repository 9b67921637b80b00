#include "surface/matte_edge.h"

#include <vector>

#include <opencv2/imgproc.hpp>

#include "base/smoothstep.h"

namespace wheatpaste {
namespace {

// Mean colours of the sides come from this far, bands.
constexpr double kReachBands = 2.5;

}  // namespace

Sides DescribeSides(const cv::Mat& linear, const cv::Mat& cut, double band) {
  Sides sides;
  cv::Mat inside, outside;
  cv::distanceTransform(cut, inside, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  cv::distanceTransform(255 - cut, outside, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  // Distances count from pixel to pixel; the cut lies half way.
  sides.depth = cv::Mat(linear.size(), CV_32F);
  for (int y = 0; y < cut.rows; ++y) {
    for (int x = 0; x < cut.cols; ++x) {
      sides.depth.at<float>(y, x) =
          cut.at<uint8_t>(y, x) ? inside.at<float>(y, x) - 0.5f : 0.5f - outside.at<float>(y, x);
    }
  }
  const int radius = static_cast<int>(std::ceil(kReachBands * band));
  const cv::Size window(2 * radius + 1, 2 * radius + 1);
  const auto sum = [&](const cv::Mat& of) {
    cv::Mat out;
    cv::boxFilter(of, out, CV_32F, window, {-1, -1}, true, cv::BORDER_CONSTANT);
    return out;
  };
  cv::Mat squares, variance[2], weights_of[2];
  for (const bool front : {true, false}) {
    // What lies deeper in its side counts more: the rim is mixed with the other's colour.
    cv::Mat weight = (front ? sides.depth : cv::Mat(-sides.depth)) / band;
    weight = cv::min(cv::max(weight, 0.0f), 1.0f);
    weight = weight.mul(weight).mul(weight) + 1e-7f;
    cv::Mat weight3;
    cv::merge(std::vector<cv::Mat>(3, weight), weight3);
    cv::Mat weights = sum(weight), weights3;
    cv::merge(std::vector<cv::Mat>(3, weights), weights3);
    cv::Mat mean = sum(linear.mul(weight3));
    mean /= weights3;
    cv::Mat away = linear - mean;
    away = away.mul(away).mul(weight3);
    cv::transform(away, away, cv::Matx13f(1 / 3.0f, 1 / 3.0f, 1 / 3.0f));
    variance[front ? 0 : 1] = sum(away) / weights;
    (front ? sides.front : sides.behind) = mean;
  }
  sides.spread = (variance[0] + variance[1]) / 2;
  return sides;
}

float AlphaOf(const cv::Vec3f& c, const cv::Vec3f& front, const cv::Vec3f& behind, float spread,
              float depth, float band, float cut_width) {
  const float cut = std::clamp(0.5f + depth / cut_width, 0.0f, 1.0f);
  const cv::Vec3f line = front - behind;
  const float length2 = line.dot(line);
  if (length2 <= 1e-8f) return cut;
  float alpha = (c - behind).dot(line) / length2;
  // Noise along the line, as a share of it: within it both ends count as whole.
  const float noise = std::sqrt(spread / length2);
  const float end = std::min(noise, 0.2f);
  alpha = std::clamp((alpha - end) / (1 - 2 * end), 0.0f, 1.0f);
  // A third colour lies off the line: no mixture of the two.
  const cv::Vec3f off =
      (c - behind) - line * std::clamp((c - behind).dot(line) / length2, 0.0f, 1.0f);
  const float stray = std::max(0.0f, std::sqrt(off.dot(off) / length2) - noise);
  const float trust = (1 - Smoothstep(0.25f, 0.6f, noise)) * (1 - Smoothstep(0.1f, 0.35f, stray));
  const float inner = 1 - Smoothstep(0.4f, 1.0f, std::abs(depth) / band);
  const float side = depth > 0 ? 1.0f : 0.0f;
  return inner * (trust * alpha + (1 - trust) * cut) + (1 - inner) * side;
}

}  // namespace wheatpaste
