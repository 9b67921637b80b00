#include "scene/output_spec.h"

#include <cmath>

namespace wheatpaste {
namespace {

// Pixels of the device, or the printed size, with `bleed_mm` on every side.
PictureSize Widened(const OutputSpec& spec, double bleed_mm) {
  if (const auto* mm = std::get_if<SizeMm>(&spec.size->extent)) {
    return {SizeMm{mm->width + 2 * bleed_mm, mm->height + 2 * bleed_mm}};
  }
  const auto& px = std::get<SizePx>(spec.size->extent);
  const int64_t both_sides = std::llround(2 * bleed_mm / kMmPerInch * DensityOf(spec).value);
  const auto device = [&](int64_t side) {
    return std::llround(static_cast<double>(side) * spec.pixel_ratio) + both_sides;
  };
  return {SizePx{device(px.width), device(px.height)}};
}

}  // namespace

Ppi DensityOf(const OutputSpec& spec) {
  if (spec.density) return *spec.density;
  return spec.size && spec.size->printed() ? kPrintDensity : kScreenDensity;
}

std::optional<SheetSize> SheetSizeOf(const OutputSpec& spec) {
  if (!spec.size) return {};
  const Ppi ppi = DensityOf(spec);
  return SheetSize{Widened(spec, 0).ToPixels(ppi), Widened(spec, spec.bleed_mm).ToPixels(ppi)};
}

Status CheckSheetSize(const OutputSpec& spec) {
  if (!spec.size) return Done{};
  for (const double bleed_mm : {0.0, spec.bleed_mm}) {
    const auto px = PixelsWithinLimits(Widened(spec, bleed_mm), DensityOf(spec), spec.size_text);
    if (!px) return px.errors();
  }
  return Done{};
}

}  // namespace wheatpaste
