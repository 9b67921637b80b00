#include "composite/bare_surface.h"

#include <algorithm>
#include <vector>

#include "composite/join_charts.h"
#include "light/remove_print.h"
#include "light/separate_reflectance.h"
#include "light/white_anchor.h"

namespace wheatpaste {
namespace {

void Write(const BareSurface& bare, const RectPx& region, BasePicture& base) {
  const CodesFromWorking encode(base.profile, base.depth);
  const int64_t pixel_bytes = 3 * (base.depth / 8);
  for (int64_t y = 0; y < region.height(); ++y) {
    const float* const changed = bare.changed.row(0, y);
    uint8_t* const codes =
        base.codes.data() + (region.y0 + y) * base.row_bytes() + region.x0 * pixel_bytes;
    for (int64_t x = 0; x < region.width(); ++x) {
      if (changed[x] <= 0) continue;
      int64_t end = x + 1;
      while (end < region.width() && changed[end] > 0) ++end;
      for (int c = 0; c < 3; ++c) {
        std::copy(bare.light.row(c, y) + x, bare.light.row(c, y) + end,
                  base.light.row(c, region.y0 + y) + region.x0 + x);
      }
      encode.Convert(bare.light.row(0, y) + x, bare.light.row(1, y) + x, bare.light.row(2, y) + x,
                     end - x, codes + x * pixel_bytes);
      x = end;
    }
  }
}

}  // namespace

void ReadBareSurfaces(const std::vector<PreparedSurface>& surfaces, Scene& scene,
                      BasePicture& base) {
  const bool anchored =
      std::any_of(scene.surfaces.begin(), scene.surfaces.end(),
                  [](const Surface& surface) { return surface.substrate.value.from_photo; });
  const SceneLinear white = anchored ? FindWhite(base.light.view()) : SceneLinear{};
  for (size_t i = 0; i < surfaces.size(); ++i) {
    Surface& surface = scene.surfaces[i];
    Substrate& substrate = surface.substrate.value;
    if (!ReadsSurface(surface) || surfaces[i].charts.empty()) continue;
    std::vector<const ChartPicture*> pictures;
    for (const PreparedChart& chart : surfaces[i].charts) pictures.push_back(&chart.picture);
    const RectPx region = BoundsOf(pictures);
    const Image<Coverage> seen = SeenTogether(pictures, region);
    const ImageView<SceneLinear> light = base.light.view().Part(region);
    const Image<Coverage> inner = InnerPixels(seen.view());
    const Separation found = SeparateReflectance(light, inner.view());
    if (substrate.from_photo) {
      substrate.reflectance = AnchorMaterial(found, white);
      substrate.known = true;
    }
    if (surface.old_print == OldPrint::kRemove) {
      Write(RemovePrint(light, seen.view(), found), region, base);
    }
  }
}

}  // namespace wheatpaste
