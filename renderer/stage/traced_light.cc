#include "stage/traced_light.h"

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;

Image<SceneLinear> Mean(const Image<SceneLinear>& sum, int samples) {
  Image<SceneLinear> mean(sum.size());
  const float one = 1.0f / static_cast<float>(samples);
  ParallelRows(sum.height(), kBandRows, [&](int64_t from, int64_t to) {
    for (int plane = 0; plane < 3; ++plane) {
      for (int64_t y = from; y < to; ++y) {
        for (int64_t x = 0; x < sum.width(); ++x)
          mean.row(plane, y)[x] = one * sum.row(plane, y)[x];
      }
    }
  });
  return mean;
}

}  // namespace

TracedLight Averages(const TraceSums& sums) {
  WHEATPASTE_CHECK_OP(sums.samples, >=, 1);
  return {Mean(sums.diffuse, sums.samples), Mean(sums.mirrored, sums.samples),
          Mean(sums.albedo, sums.samples)};
}

}  // namespace wheatpaste
