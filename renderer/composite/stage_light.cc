#include "composite/stage_light.h"

#include <algorithm>
#include <array>

#include "surface/fill_nearest.h"

namespace wheatpaste {
namespace {

// Codes from here on may stand for any light above.
constexpr float kEndOfCodes = 0.9995f;
// Fainter mirrored light is not seen beside what a substrate returns.
constexpr float kLeastMirrored = 0.01f;

// The pixels that are the face's alone, and whose neighbours are, where `strict`.
Image<Coverage> Inner(const Image<Coverage>& seen, bool strict) {
  Image<Coverage> inner(seen.size());
  const int64_t reach = strict ? 1 : 0;
  for (int64_t y = 0; y < seen.height(); ++y) {
    for (int64_t x = 0; x < seen.width(); ++x) {
      float least = 1;
      for (int64_t j = y - reach; j <= y + reach; ++j) {
        for (int64_t i = x - reach; i <= x + reach; ++i) {
          const bool within = i >= 0 && j >= 0 && i < seen.width() && j < seen.height();
          least = std::min(least, within ? seen.row(0, j)[i] : 1.0f);
        }
      }
      inner.row(0, y)[x] = least >= Coverage::kWhole ? 1.0f : 0.0f;
    }
  }
  return inner;
}

}  // namespace

void LightFromStage(const StagePhoto& photo, const Reflectance& substrate, const Frame& frame,
                    BasePicture& base, PreparedChart& chart) {
  const RectPx& region = chart.picture.region;
  const Frame own = FramePhoto(photo.photo.size, photo.photo.size);
  const auto under = [&](const Image<SceneLinear>& light) {
    return LookUp(light, WholeOf(own.size), own, frame, region);
  };
  Shading shading{under(photo.light), Image<Coverage>({region.width(), region.height()}), 0};
  Gloss gloss{under(photo.mirrored), 0};
  Image<Coverage> inner = Inner(chart.picture.seen, !frame.is_photo());
  if (!FillFromNearest(inner.view(), shading.irradiance.mutable_view())) {
    // Nowhere wider than a few pixels: what is seen most of decides.
    float most = 0;
    for (int64_t y = 0; y < region.height(); ++y) {
      const float* const row = chart.picture.seen.row(0, y);
      most = std::max(most, *std::max_element(row, row + region.width()));
    }
    for (int64_t y = 0; y < region.height(); ++y) {
      for (int64_t x = 0; x < region.width(); ++x) {
        inner.row(0, y)[x] = chart.picture.seen.row(0, y)[x] >= most / 2 ? 1.0f : 0.0f;
      }
    }
    FillFromNearest(inner.view(), shading.irradiance.mutable_view());
  }
  FillFromNearest(inner.view(), gloss.mirrored.mutable_view());
  const std::array<float, 3> reflects{static_cast<float>(substrate.r),
                                      static_cast<float>(substrate.g),
                                      static_cast<float>(substrate.b)};
  double seen_px = 0, mirrored_px = 0;
  for (int64_t y = 0; y < region.height(); ++y) {
    std::array<float*, 3> light, irradiance, mirrored;
    for (int c = 0; c < 3; ++c) {
      const auto at = static_cast<size_t>(c);
      light[at] = base.light.row(c, region.y0 + y) + region.x0;
      irradiance[at] = shading.irradiance.row(c, y);
      mirrored[at] = gloss.mirrored.row(c, y);
    }
    float* const texture = shading.fine_texture.row(0, y);
    const float* const seen = chart.picture.seen.row(0, y);
    for (int64_t x = 0; x < region.width(); ++x) {
      texture[x] = 1;
      if (seen[x] <= 0) continue;
      bool ends = false;
      for (size_t c = 0; c < 3; ++c) {
        irradiance[c][x] = std::max(irradiance[c][x], 0.0f);
        mirrored[c][x] = std::max(mirrored[c][x], 0.0f);
        ends |= light[c][x] >= kEndOfCodes;
      }
      seen_px += seen[x];
      if (Luminance(mirrored[0][x], mirrored[1][x], mirrored[2][x]) >= kLeastMirrored) {
        mirrored_px += seen[x];
      }
      if (seen[x] < Coverage::kWhole) continue;
      std::array<float, 3> flat{};
      for (size_t c = 0; c < 3; ++c) flat[c] = irradiance[c][x] * reflects[c];
      if (ends) {
        for (size_t c = 0; c < 3; ++c) {
          light[c][x] = std::max(light[c][x], flat[c] + mirrored[c][x]);
        }
        continue;
      }
      const float all = Luminance(flat[0], flat[1], flat[2]);
      const float own_light = Luminance(light[0][x] - mirrored[0][x], light[1][x] - mirrored[1][x],
                                        light[2][x] - mirrored[2][x]);
      if (all > 0) texture[x] = std::clamp(own_light / all, 0.0f, kMostTexture);
    }
  }
  chart.blank = substrate;
  chart.clipped = 0;  // the light is known where the photograph ends at white
  gloss.share = seen_px > 0 ? mirrored_px / seen_px : 0;
  chart.shading = std::move(shading);
  chart.gloss = std::move(gloss);
}

float OwnLight(const PreparedChart& chart, int plane, int64_t x, int64_t y) {
  const double blank[3] = {chart.blank->r, chart.blank->g, chart.blank->b};
  return chart.shading->irradiance.row(plane, y)[x] * static_cast<float>(blank[plane]) +
         chart.gloss->mirrored.row(plane, y)[x];
}

void MendSharedPixels(const std::vector<PreparedSurface>& surfaces, BasePicture& base) {
  const SizePx size = base.size;
  Image<Coverage> covered(size), outside(size), shared(size);
  Image<SceneLinear> own(size);
  for (const PreparedSurface& surface : surfaces) {
    for (const PreparedChart& chart : surface.charts) {
      if (!chart.blank) continue;
      const RectPx& region = chart.picture.region;
      for (int64_t y = 0; y < region.height(); ++y) {
        const float* const seen = chart.picture.seen.row(0, y);
        float* const all = covered.row(0, region.y0 + y) + region.x0;
        float* const mixed = shared.row(0, region.y0 + y) + region.x0;
        for (int64_t x = 0; x < region.width(); ++x) {
          all[x] += seen[x];
          if (seen[x] > 0 && seen[x] < Coverage::kWhole) mixed[x] = 1;
          for (int c = 0; c < 3; ++c) {
            own.row(c, region.y0 + y)[region.x0 + x] += seen[x] * OwnLight(chart, c, x, y);
          }
        }
      }
    }
  }
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      outside.row(0, y)[x] = covered.row(0, y)[x] > 0 ? 0.0f : 1.0f;
    }
  }
  Image<SceneLinear> beside = base.light.Copy();
  if (!FillFromNearest(outside.view(), beside.mutable_view())) return;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      if (shared.row(0, y)[x] == 0) continue;
      const float rest = 1 - covered.row(0, y)[x];
      for (int c = 0; c < 3; ++c) {
        float& light = base.light.row(c, y)[x];
        const float of_faces = own.row(c, y)[x], near = std::max(beside.row(c, y)[x], 0.0f);
        if (rest <= 0) {
          light = of_faces / covered.row(0, y)[x];
        } else {
          light = of_faces + rest * std::clamp((light - of_faces) / rest, near / 2, near * 2);
        }
      }
    }
  }
}

}  // namespace wheatpaste
