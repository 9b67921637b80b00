#include "stage/denoise.h"

#include <algorithm>

#include "base/check.h"
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

FinishedLight MeanLight(const TraceSums& sums) {
  WHEATPASTE_CHECK(sums.samples > 0);
  const SizePx size = sums.depth.size();
  FinishedLight light{Image<SceneLinear>(size), Image<SceneLinear>(size)};
  const float n = static_cast<float>(sums.samples);
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < size.height; ++y) {
      for (int64_t x = 0; x < size.width; ++x) {
        const float albedo = sums.albedo.row(c, y)[x];
        light.lit.row(c, y)[x] = albedo / n > kLeastAlbedo ? sums.diffuse.row(c, y)[x] / albedo : 0;
        light.mirrored.row(c, y)[x] = sums.mirrored.row(c, y)[x] / n;
      }
    }
  }
  return light;
}

FinishedLight Denoise(const TraceSums& sums) {
  if (sums.samples < 2) return MeanLight(sums);
  const SizePx size = sums.depth.size();
  const Guide guide = GuideOf(sums);
  Image<SceneLinear> share(size);
  FinishedLight finished;
  {
    NoisyLight lit = NoisyMean(sums.diffuse, sums.diffuse_squared, sums.samples);
    DivideByAlbedo(sums, lit, share);
    RemoveFireflies(lit);
    CalibrateNoise(lit);
    finished.lit = JointMeans(lit, guide, share);
  }
  for (int c = 0; c < 3; ++c) {
    for (int64_t y = 0; y < size.height; ++y) std::fill_n(share.row(c, y), size.width, 1.0f);
  }
  NoisyLight mirrored = NoisyMean(sums.mirrored, sums.mirrored_squared, sums.samples);
  RemoveFireflies(mirrored);
  CalibrateNoise(mirrored);
  finished.mirrored = JointMeans(mirrored, guide, share);
  return finished;
}

}  // namespace wheatpaste
