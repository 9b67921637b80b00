#include "light/shading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "base/smoothstep.h"
#include "light/planes.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;

// Robust standard deviation of the fine texture over its local mean: the median of |Y - mean| / mean
// with the mean over 5 x 5 px, times 1.4826 (a normal distribution's sd over its median deviation).
double TextureContrast(const cv::Mat& luminance, const cv::Mat& mask) {
  constexpr int kRadius = 2;
  const cv::Mat count = BoxSum(mask, kRadius);
  const cv::Mat sum = BoxSum(luminance.mul(mask), kRadius);
  std::vector<float> deviations;
  for (int y = 0; y < luminance.rows; ++y) {
    for (int x = 0; x < luminance.cols; ++x) {
      if (mask.at<float>(y, x) == 0) continue;
      const float mean = sum.at<float>(y, x) / count.at<float>(y, x);
      if (mean > 1e-4f) deviations.push_back(std::abs(luminance.at<float>(y, x) / mean - 1));
    }
  }
  if (deviations.empty()) return 0;
  const auto middle = deviations.begin() + static_cast<int64_t>(deviations.size() / 2);
  std::nth_element(deviations.begin(), middle, deviations.end());
  return 1.4826 * double{*middle};
}

// What was taken out of the light.
Image<Coverage> FineTexture(const cv::Mat& luminance, const cv::Mat& mask,
                            ImageView<SceneLinear> clean) {
  Image<Coverage> texture(clean.size());
  ParallelRows(clean.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      const float* from = luminance.ptr<float>(static_cast<int>(y));
      const float* inside = mask.ptr<float>(static_cast<int>(y));
      float* to = texture.row(0, y);
      for (int64_t x = 0; x < clean.width(); ++x) {
        const float level = LuminanceAt(clean, x, y);
        to[x] = inside[x] > 0 && level > 0 ? std::clamp(from[x] / level, 0.0f, kMostTexture) : 1.0f;
      }
    }
  });
  return texture;
}

// Smoothed light to irradiance, in place.
void DivideBySubstrate(const Reflectance& substrate, Image<SceneLinear>& image) {
  const BandWeights weights = IrradianceWeights(substrate);
  ParallelRows(image.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      float* const r = image.row(0, y);
      float* const g = image.row(1, y);
      float* const b = image.row(2, y);
      for (int64_t x = 0; x < image.width(); ++x) {
        const float l[3] = {r[x], g[x], b[x]};
        const auto band = [&](size_t c) {
          return weights[c][0] * l[0] + weights[c][1] * l[1] + weights[c][2] * l[2];
        };
        r[x] = band(0);
        g[x] = band(1);
        b[x] = band(2);
      }
    }
  });
}

}  // namespace

BandWeights IrradianceWeights(const Reflectance& substrate) {
  const std::array<double, 3> rs{substrate.r, substrate.g, substrate.b};
  const double most = *std::max_element(rs.begin(), rs.end());
  const double sum2 = rs[0] * rs[0] + rs[1] * rs[1] + rs[2] * rs[2];
  BandWeights weights{};
  for (size_t c = 0; c < 3; ++c) {
    const double trust = Smoothstep(kWeakBand, kStrongBand, rs[c] / most);
    for (size_t k = 0; k < 3; ++k) {
      const double shared = (1 - trust) * rs[k] / sum2;
      weights[c][k] = static_cast<float>(c == k ? trust / rs[c] + shared : shared);
    }
  }
  return weights;
}

Shading SeparateShading(ImageView<SceneLinear> light, ImageView<Coverage> seen,
                        const Reflectance& substrate, int radius) {
  WHEATPASTE_CHECK(light.size() == seen.size());
  WHEATPASTE_CHECK_OP(radius, >=, 1);
  const SizePx size = light.size();
  Shading shading;
  shading.irradiance = Image<SceneLinear>(size);
  if (size.area() == 0) return shading;

  const cv::Mat mask = InnerMask(seen);
  const cv::Mat luminance = LuminancePlane(light);
  shading.texture = TextureContrast(luminance, mask);
  const auto reach = static_cast<float>(kTextureReach * shading.texture);

  const cv::Mat count = BoxSum(mask, radius);
  const cv::Mat masked = luminance.mul(mask);
  const cv::Mat mean_y = BoxSum(masked, radius) / cv::max(count, 1e-3f);
  // Moments about the surface's own mean: single precision keeps its digits.
  const auto centre = static_cast<float>(cv::sum(masked)[0] / std::max(1.0, cv::sum(mask)[0]));
  const cv::Mat centred = (luminance - centre).mul(mask);
  const cv::Mat mean_c = BoxSum(centred, radius) / cv::max(count, 1e-3f);
  cv::Mat variance = BoxSum(centred.mul(centred), radius) / cv::max(count, 1e-3f);
  variance = cv::max(variance - mean_c.mul(mean_c), 0.0f);
  const cv::Mat texture = (reach * mean_y).mul(reach * mean_y);
  const cv::Mat safe_variance = variance + 1e-12f;
  const cv::Mat kept = cv::max(1.0f - texture / safe_variance, 0.0f) / safe_variance;

  ParallelFor(3, [&](int64_t c) {
    const int plane = static_cast<int>(c);
    cv::Mat channel = NewPlane(size);
    for (int64_t y = 0; y < size.height; ++y) {
      std::copy_n(light.row(plane, y), size.width, channel.ptr<float>(static_cast<int>(y)));
    }
    const cv::Mat mean_l = BoxSum(channel.mul(mask), radius) / cv::max(count, 1e-3f);
    cv::Mat slope = BoxSum(centred.mul(channel), radius) / cv::max(count, 1e-3f);
    slope = (slope - mean_c.mul(mean_l)).mul(kept);
    const cv::Mat offset = mean_l - slope.mul(mean_y);
    // Windows overlap: each pixel takes the mean of all that hold it.
    const cv::Mat has = cv::min(count, 1.0f);
    const cv::Mat windows = cv::max(BoxSum(has, radius), 1e-3f);
    const cv::Mat mean_slope = BoxSum(slope.mul(has), radius) / windows;
    const cv::Mat mean_offset = BoxSum(offset.mul(has), radius) / windows;
    for (int y = 0; y < channel.rows; ++y) {
      float* out = shading.irradiance.row(plane, y);
      for (int x = 0; x < channel.cols; ++x) {
        // Beside the surface the photo shows something else: the window's mean stands in.
        const float guide =
            mask.at<float>(y, x) > 0 ? luminance.at<float>(y, x) : mean_y.at<float>(y, x);
        out[x] = std::max(0.0f, mean_slope.at<float>(y, x) * guide + mean_offset.at<float>(y, x));
      }
    }
  });
  shading.fine_texture = FineTexture(luminance, mask, shading.irradiance.view());
  DivideBySubstrate(substrate, shading.irradiance);
  return shading;
}

}  // namespace wheatpaste
