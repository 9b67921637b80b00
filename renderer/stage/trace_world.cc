#include "stage/trace_world.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>

#include "base/check.h"
#include "base/parallel.h"
#include "stage/trace_paths.h"

namespace wheatpaste {
namespace {

constexpr int64_t kTile = 32;

// The sums of one pixel in one colour picture.
struct ColourSum {
  ColourSum(Image<SceneLinear>& image, int64_t x, int64_t y) {
    for (int c = 0; c < 3; ++c) at[c] = &image.row(c, y)[x], sum[c] = *at[c];
  }
  ~ColourSum() {
    for (int c = 0; c < 3; ++c) *at[c] = sum[c];
  }
  float* at[3];
  Eigen::Array3f sum;
};

// Adds samples [from, to) of a group to the pixel's sums, one after the other.
void Add(const std::array<PathSample, kAtOnce>& samples, int from, int to, float exposure,
         int64_t x, int64_t y, TraceSums& sums) {
  ColourSum diffuse_sum(sums.diffuse, x, y), diffuse_squared(sums.diffuse_squared, x, y);
  ColourSum mirrored_sum(sums.mirrored, x, y), mirrored_squared(sums.mirrored_squared, x, y);
  ColourSum albedo(sums.albedo, x, y), normal(sums.normal, x, y);
  float& depth_at = sums.depth.row(0, y)[x];
  float& depth_squared_at = sums.depth_squared.row(0, y)[x];
  float depth = depth_at, depth_squared = depth_squared_at;
  for (int i = from; i < to; ++i) {
    const PathSample& sample = samples[static_cast<size_t>(i)];
    const Eigen::Array3f diffuse = exposure * sample.albedo * sample.lit;
    const Eigen::Array3f mirrored = exposure * sample.mirrored;
    if (!diffuse.allFinite() || !mirrored.allFinite()) {
      CheckFailed(__FILE__, __LINE__, "light is finite",
                  fmt::format("pixel {}, {}, sample {} of its group", x, y, i));
    }
    diffuse_sum.sum += diffuse;
    mirrored_sum.sum += mirrored;
    albedo.sum += sample.albedo;
    diffuse_squared.sum += diffuse * diffuse;
    mirrored_squared.sum += mirrored * mirrored;
    normal.sum += sample.normal.array();
    if (sample.thrower >= 0) {
      ThrownSums& thrown = sums.thrown[static_cast<size_t>(sample.thrower)];
      const Eigen::Array3f light = exposure * sample.albedo * sample.thrown;
      for (int c = 0; c < 3; ++c) {
        thrown.light.row(c, y)[x] += light[c];
        thrown.squared.row(c, y)[x] += light[c] * light[c];
      }
    }
    depth += sample.depth;
    depth_squared += sample.depth * sample.depth;
  }
  depth_at = depth;
  depth_squared_at = depth_squared;
}

}  // namespace

TraceSums EmptySums(SizePx size, int32_t throwers) {
  TraceSums sums;
  for (auto* image : {&sums.diffuse, &sums.mirrored, &sums.albedo, &sums.diffuse_squared,
                      &sums.mirrored_squared, &sums.normal}) {
    *image = Image<SceneLinear>(size);
  }
  sums.depth = Image<Coverage>(size);
  sums.depth_squared = Image<Coverage>(size);
  for (int32_t i = 0; i < throwers; ++i) {
    sums.thrown.push_back({Image<SceneLinear>(size), Image<SceneLinear>(size)});
  }
  return sums;
}

TraceSums TraceWorld(const World& world, const TraceOptions& options, TraceSums sums) {
  const SizePx size = world.camera.size;
  if (sums.samples == 0) sums = EmptySums(size, world.thrower_count);
  WHEATPASTE_CHECK(sums.diffuse.size() == size);
  WHEATPASTE_CHECK_OP(static_cast<int32_t>(sums.thrown.size()), ==, world.thrower_count);
  const RectPx region =
      options.region.empty() ? WholeOf(size) : Intersect(options.region, WholeOf(size));
  const auto exposure = static_cast<float>(world.camera.exposure);
  const TracePaths paths(world, options);
  const int64_t across = (region.width() + kTile - 1) / kTile;
  const int64_t down = (region.height() + kTile - 1) / kTile;
  while (sums.samples < options.samples) {
    const int group = sums.samples / kAtOnce, begin = group * kAtOnce;
    const int to = std::min(options.samples, begin + kAtOnce);
    std::atomic<int64_t> rays = 0;
    ParallelFor(across * down, [&](int64_t tile) {
      const int64_t x0 = region.x0 + tile % across * kTile, y0 = region.y0 + tile / across * kTile;
      std::array<PathSample, kAtOnce> samples;
      int64_t rays_here = 0;
      for (int64_t y = y0; y < std::min(y0 + kTile, region.y1); ++y) {
        for (int64_t x = x0; x < std::min(x0 + kTile, region.x1); ++x) {
          rays_here += paths.Trace(x, y, group, samples);
          Add(samples, sums.samples - begin, to - begin, exposure, x, y, sums);
        }
      }
      rays += rays_here;
    });
    sums.rays += rays;
    sums.samples = to;
    if (options.progress && !options.progress(sums)) break;
  }
  return sums;
}

}  // namespace wheatpaste
