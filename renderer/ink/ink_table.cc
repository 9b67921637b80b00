#include "ink/ink_table.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 64;

}  // namespace

InkTable::InkTable(const Ink& ink, const Substrate& substrate)
    : ink_(ink, substrate),
      beyond_filter_(static_cast<float>(1 - ink.hiding.value_or(ink.opacity))),
      beyond_cover_(static_cast<float>(ink.hiding.value_or(ink.opacity) * ink.white)),
      gray_(ink.colour.has_value()),
      stock_(ink.stock != nullptr) {
  const auto level = [](int k) {
    const float root = static_cast<float>(k) / (kNodes - 1);
    return root * root;
  };
  const int sides = gray_ ? 1 : kNodes;
  nodes_.resize(static_cast<size_t>(sides * sides * kNodes));
  ParallelFor(sides * sides, [&](int64_t at) {
    const auto r = static_cast<int>(at / sides), g = static_cast<int>(at % sides);
    for (int b = 0; b < kNodes; ++b) {
      const SceneLinear colour = gray_ ? SceneLinear{level(b), level(b), level(b)}
                                       : SceneLinear{level(r), level(g), level(b)};
      const PrintedLight light = ink_.Solid(colour);
      Node& node = nodes_[static_cast<size_t>(at * kNodes + b)];
      for (size_t i = 0; i < 3; ++i) {
        node.filter[i] = static_cast<float>(light.filter[i]);
        node.cover[i] = static_cast<float>(light.cover[i]);
      }
    }
  });
}

InkTable::Node InkTable::LookUp(float r, float g, float b) const {
  struct Axis {
    size_t low;
    float part;
  };
  const auto axis = [](float value) {
    const float at = std::sqrt(std::clamp(value, 0.0f, 1.0f)) * (kNodes - 1);
    const auto low = std::min(static_cast<int>(at), kNodes - 2);
    return Axis{static_cast<size_t>(low), at - static_cast<float>(low)};
  };
  const auto between = [](const Node& low, const Node& high, float t) {
    Node node;
    for (int i = 0; i < 3; ++i) {
      node.filter[i] = low.filter[i] + t * (high.filter[i] - low.filter[i]);
      node.cover[i] = low.cover[i] + t * (high.cover[i] - low.cover[i]);
    }
    return node;
  };
  if (gray_) {
    const Axis y = axis(Luminance(r, g, b));
    return between(nodes_[y.low], nodes_[y.low + 1], y.part);
  }
  const Axis x = axis(r), y = axis(g), z = axis(b);
  const auto line = [&](size_t dx, size_t dy) {
    const size_t at = ((x.low + dx) * kNodes + y.low + dy) * kNodes + z.low;
    return between(nodes_[at], nodes_[at + 1], z.part);
  };
  return between(between(line(0, 0), line(0, 1), y.part), between(line(1, 0), line(1, 1), y.part),
                 x.part);
}

PrintedLight InkTable::At(const SceneLinear& artwork) const {
  const auto [ink, share] = ink_.SplitOf(artwork);
  const Node node = LookUp(ink.r, ink.g, ink.b);
  PrintedLight light;
  light.share = share;
  const std::array<float, 3> colour{ink.r, ink.g, ink.b};
  for (size_t i = 0; i < 3; ++i) {
    const float beyond = gray_ ? 0 : colour[i] - std::clamp(colour[i], 0.0f, 1.0f);
    light.filter[i] = double{node.filter[i] + beyond_filter_ * beyond};
    light.cover[i] = double{node.cover[i] + beyond_cover_ * beyond};
  }
  return light;
}

PrintRaster InkTable::Print(Image<LinearPremul> artwork) const {
  PrintRaster print{std::move(artwork), std::nullopt};
  const auto filter = print.filter.mutable_view();
  if (ink_.covers()) print.cover.emplace(print.filter.size());
  const PrintedLight& bare = ink_.unprinted();
  ParallelRows(filter.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      float* const plane[4] = {filter.row(0, y), filter.row(1, y), filter.row(2, y),
                               filter.row(3, y)};
      float* cover[4] = {};
      for (int k = 0; k < 4 && print.cover; ++k) cover[k] = print.cover->mutable_view().row(k, y);
      // Flat artwork repeats its colours.
      std::array<float, 4> last{-1, -1, -1, -1};
      std::array<float, 7> made{};
      for (int64_t x = 0; x < filter.width(); ++x) {
        const std::array<float, 4> pixel{plane[0][x], plane[1][x], plane[2][x], plane[3][x]};
        if (pixel != last) {
          last = pixel;
          made = {};
          const auto alpha = double{pixel[3]};
          double inked = 0;
          if (alpha > 0) {
            const auto part = static_cast<float>(1 / alpha);
            const PrintedLight light = At({pixel[0] * part, pixel[1] * part, pixel[2] * part});
            inked = alpha * light.share;
            for (size_t i = 0; i < 3; ++i) {
              made[i] = static_cast<float>(inked * light.filter[i]);
              made[i + 3] = static_cast<float>(inked * light.cover[i]);
            }
          }
          made[6] = static_cast<float>(inked);
          if (stock_) {
            for (size_t i = 0; i < 3; ++i) {
              made[i] += static_cast<float>((1 - inked) * bare.filter[i]);
              made[i + 3] += static_cast<float>((1 - inked) * bare.cover[i]);
            }
            made[6] = 1;
          }
        }
        for (int k = 0; k < 3; ++k) plane[k][x] = made[static_cast<size_t>(k)];
        plane[3][x] = made[6];
        if (!print.cover) continue;
        for (int k = 0; k < 3; ++k) cover[k][x] = made[static_cast<size_t>(k) + 3];
        cover[3][x] = made[6];
      }
    }
  });
  return print;
}

}  // namespace wheatpaste
