#include "light/white_anchor.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace wheatpaste {
namespace {

constexpr int64_t kMostSamples = int64_t{1} << 18;
// Brighter pixels may be clipped.
constexpr float kClipped = 0.97f;
// Natural log of strongest over weakest band of what still counts as white under lamp or sky.
constexpr double kMostTint = 0.5;
// The surface's brightest parts: this share of it is brighter.
constexpr double kBrightShare = 0.05;
constexpr double kLeastReflectance = 0.01, kMostReflectance = 0.95;

SceneLinear BrightestOf(std::vector<SceneLinear> pixels) {
  const auto level = [](const SceneLinear& p) { return Luminance(p.r, p.g, p.b); };
  const auto count =
      std::max<int64_t>(1, static_cast<int64_t>(kWhiteShare * static_cast<double>(pixels.size())));
  std::nth_element(pixels.begin(), pixels.begin() + (count - 1), pixels.end(),
                   [&](const SceneLinear& a, const SceneLinear& b) { return level(a) > level(b); });
  double r = 0, g = 0, b = 0;
  for (int64_t i = 0; i < count; ++i) {
    const SceneLinear& p = pixels[static_cast<size_t>(i)];
    r += double{p.r}, g += double{p.g}, b += double{p.b};
  }
  const auto n = static_cast<double>(count);
  return {static_cast<float>(r / n), static_cast<float>(g / n), static_cast<float>(b / n)};
}

}  // namespace

SceneLinear FindWhite(ImageView<SceneLinear> light) {
  std::vector<SceneLinear> neutral, all;
  const int64_t step = light.size().area() / kMostSamples + 1;
  for (int64_t i = 0; i < light.size().area(); i += step) {
    const int64_t y = i / light.width(), x = i % light.width();
    const SceneLinear p{light.row(0, y)[x], light.row(1, y)[x], light.row(2, y)[x]};
    all.push_back(p);
    const float most = std::max({p.r, p.g, p.b}), least = std::min({p.r, p.g, p.b});
    if (most >= kClipped || least <= 0 || std::log(double{most / least}) > kMostTint) continue;
    neutral.push_back(p);
  }
  if (!neutral.empty()) return BrightestOf(std::move(neutral));
  return all.empty() ? SceneLinear{1, 1, 1} : BrightestOf(std::move(all));
}

Reflectance AnchorMaterial(const Separation& surface, const SceneLinear& white) {
  std::vector<float> levels;
  const SizePx size = surface.shading.size();
  const int64_t step = size.area() / kMostSamples + 1;
  for (int64_t i = 0; i < size.area(); i += step) {
    const float level = surface.shading.row(0, i / size.width)[i % size.width];
    if (level > 0) levels.push_back(level);
  }
  if (levels.empty()) return {kWhiteReflectance, kWhiteReflectance, kWhiteReflectance};
  const auto bright = levels.begin() +
                      static_cast<int64_t>((1 - kBrightShare) * static_cast<double>(levels.size()));
  std::nth_element(levels.begin(), bright, levels.end());
  const auto band = [&](size_t c, float white_band) {
    const double colour = double{*bright} * surface.material[c];
    return std::clamp(kWhiteReflectance * colour / std::max(1e-6, double{white_band}),
                      kLeastReflectance, kMostReflectance);
  };
  return {band(0, white.r), band(1, white.g), band(2, white.b)};
}

}  // namespace wheatpaste
