#include "stage/denoise.h"

#include <algorithm>

#include "base/parallel.h"
#include "stage/joint_means.h"
#include "stage/noise_level.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBand = 32;          // rows
constexpr float kLeastAlbedo = 1e-4f;  // a smaller one counts as none

// light  of diffuse; divided by the albedo. A band without albedo is guessed to be lit as the others are: it is compared, and gives
// nothing. share  receives the albedo.
void DivideByAlbedo(const TraceSums& sums, NoisyLight& light, Image<SceneLinear>& share) {
  const SizePx size = light.value.size();
  const float n = static_cast<float>(sums.samples);
  ParallelRows(size.height, kBand, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < size.width; ++x) {
        float squares = 0, total = 0, bands = 0;
        for (int c = 0; c < 3; ++c) {
          const float albedo = sums.albedo.row(c, y)[x] / n;
          if (albedo <= kLeastAlbedo) continue;
          share.row(c, y)[x] = albedo;
          total += light.value.row(c, y)[x] /= albedo;
          squares += albedo * albedo / 3;
          ++bands;
        }
        for (int c = 0; c < 3; ++c) {
          if (share.row(c, y)[x] == 0) light.value.row(c, y)[x] = bands > 0 ? total / bands : 0;
        }
        float& variance = light.variance.row(0, y)[x];
        variance = bands > 0 ? variance / squares : 0;
      }
    }
  });
}

Guide GuideOf(const TraceSums& sums) {
  const SizePx size = sums.depth.size();
  Guide guide{Image<SceneLinear>(size), Image<Coverage>(size), Image<Coverage>(size),
              Image<Coverage>(size)};
  const float n = static_cast<float>(sums.samples);
  ParallelRows(size.height, kBand, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < size.width; ++x) {
        float squares = 0;
        for (int c = 0; c < 3; ++c) {
          const float normal = sums.normal.row(c, y)[x] / n;
          guide.normal.row(c, y)[x] = normal;
          squares += normal * normal;
        }
        guide.normal_spread.row(0, y)[x] = std::max(0.0f, 1 - squares) / n;
        const float depth = sums.depth.row(0, y)[x] / n;
        guide.depth.row(0, y)[x] = depth;
        guide.depth_variance.row(0, y)[x] =
            std::max(0.0f, sums.depth_squared.row(0, y)[x] / n - depth * depth) / (n - 1);
      }
    }
  });
  return guide;
}

}  // namespace

TracedLight Denoise(const TraceSums& sums) {
  TracedLight light = Averages(sums);
  if (sums.samples < 2) return light;
  const SizePx size = sums.depth.size();
  const Guide guide = GuideOf(sums);
  Image<SceneLinear> share(size);
  {
    NoisyLight lit = NoisyMean(sums.diffuse, sums.diffuse_squared, sums.samples);
    DivideByAlbedo(sums, lit, share);
    RemoveFireflies(lit);
    CalibrateNoise(lit);
    light.diffuse = JointMeans(lit, guide, share);
  }
  ParallelRows(size.height, kBand, [&](int64_t y0, int64_t y1) {
    for (int c = 0; c < 3; ++c) {
      for (int64_t y = y0; y < y1; ++y) {
        const float* albedo = light.albedo.row(c, y);
        float* diffuse = light.diffuse.row(c, y);
        for (int64_t x = 0; x < size.width; ++x) diffuse[x] *= albedo[x];
        std::fill_n(share.row(c, y), size.width, 1.0f);
      }
    }
  });
  NoisyLight mirrored = NoisyMean(sums.mirrored, sums.mirrored_squared, sums.samples);
  RemoveFireflies(mirrored);
  CalibrateNoise(mirrored);
  light.mirrored = JointMeans(mirrored, guide, share);
  return light;
}

}  // namespace wheatpaste
