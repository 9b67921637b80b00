#include "light/divide_reflectance.h"

#include <algorithm>

#include "base/parallel.h"
#include "light/shading.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;
// Below a thousandth a reading of reflectance is noise: no material is so black in every band, and in one band alone the
// others are trusted.
constexpr float kLeastReflectance = 1e-3f;

}  // namespace

Image<SceneLinear> DivideByReflectance(ImageView<SceneLinear> light,
                                       ImageView<Reflectance> reflectance) {
  WHEATPASTE_CHECK(light.size() == reflectance.size());
  Image<SceneLinear> irradiance(light.size());
  ParallelRows(light.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < light.width(); ++x) {
        float r[3], most = 0;
        for (int c = 0; c < 3; ++c) {
          r[c] = reflectance.row(c, y)[x];
          most = std::max(most, r[c]);
        }
        if (most < kLeastReflectance) continue;
        for (float& band : r) band = std::max(band, kLeastReflectance);
        const BandWeights weights = IrradianceWeights({double{r[0]}, double{r[1]}, double{r[2]}});
        for (int c = 0; c < 3; ++c) {
          float sum = 0;
          for (int k = 0; k < 3; ++k) {
            sum += weights[static_cast<size_t>(c)][static_cast<size_t>(k)] * light.row(k, y)[x];
          }
          irradiance.row(c, y)[x] = sum;
        }
      }
    }
  });
  return irradiance;
}

}  // namespace wheatpaste
