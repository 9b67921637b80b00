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
  WriteLight(bare.light, bare.changed, region, base);
  for (int64_t y = 0; y < region.height(); ++y) {
    const float* const changed = bare.changed.row(0, y);
    for (int plane = 0; plane < 3; ++plane) {
      const float* const from = bare.light.row(plane, y);
      float* const to = base.light.row(plane, region.y0 + y) + region.x0;
      for (int64_t x = 0; x < region.width(); ++x) {
        if (changed[x] > 0) to[x] = from[x];
      }
    }
  }
}

}  // namespace

std::vector<BarePart> ReadBareSurfaces(const std::vector<PreparedSurface>& surfaces, Scene& scene,
                                       BasePicture& base) {
  std::vector<BarePart> parts;
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
      BareSurface bare = RemovePrint(light, seen.view(), found);
      Write(bare, region, base);
      parts.push_back({region, std::move(bare.changed)});
    }
  }
  return parts;
}

}  // namespace wheatpaste
