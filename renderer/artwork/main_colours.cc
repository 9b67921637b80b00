#include "artwork/main_colours.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMostSidePx = 16384;
constexpr int64_t kBandRows = 64;
constexpr float kOpaque = 1 - 0.5f / 255;
constexpr int kNearCodes = 2;
// A step of a gradient that is narrower than ten pixels has more than this beside the next step.
constexpr double kMostSloping = 0.25;
constexpr uint32_t kNotOpaque = 0xffffffff;  // no code: those have 24 bits

// The artwork's shape at kMainColoursPx; a bitmap at no more than its own pixels.
SizePx DrawnSize(const Artwork& artwork) {
  const double aspect = artwork.aspect();
  double height = std::sqrt(static_cast<double>(kMainColoursPx) / aspect), width = height * aspect;
  if (!artwork.is_vector()) {
    const double shrink = std::min(1.0, static_cast<double>(artwork.pixels().width) / width);
    width *= shrink;
    height *= shrink;
  }
  const auto side = [](double length) {
    return std::clamp<int64_t>(std::llround(length), 1, kMostSidePx);
  };
  return {side(width), side(height)};
}

// Code of every pixel, row by row.
std::vector<uint32_t> CodesOf(const Image<LinearPremul>& drawn) {
  const int64_t width = drawn.width();
  std::vector<uint32_t> codes(static_cast<size_t>(drawn.size().area()));
  ParallelRows(drawn.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    // Flat artwork repeats itself: a pixel like the one before it has its code.
    SceneLinear last{};
    uint32_t last_code = 0;
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < width; ++x) {
        uint32_t& code = codes[static_cast<size_t>(y * width + x)];
        const float alpha = drawn.row(3, y)[x];
        if (alpha < kOpaque) {
          code = kNotOpaque;
          continue;
        }
        const SceneLinear colour{drawn.row(0, y)[x] / alpha, drawn.row(1, y)[x] / alpha,
                                 drawn.row(2, y)[x] / alpha};
        if (colour.r != last.r || colour.g != last.g || colour.b != last.b) {
          const Srgb8 srgb = SrgbFromLinear(colour);
          last = colour;
          last_code = uint32_t{srgb.r} << 16 | uint32_t{srgb.g} << 8 | srgb.b;
        }
        code = last_code;
      }
    }
  });
  return codes;
}

double CoveredArea(const Image<LinearPremul>& drawn) {
  double area = 0;
  for (int64_t y = 0; y < drawn.height(); ++y) {
    const float* alpha = drawn.row(3, y);
    for (int64_t x = 0; x < drawn.width(); ++x) area += double{alpha[x]};
  }
  return area;
}

// Another code, but one that the eye takes for the same: the next step of a gradient.
bool IsNear(uint32_t a, uint32_t b) {
  if (a == b || a == kNotOpaque || b == kNotOpaque) return false;
  for (const int shift : {16, 8, 0}) {
    const auto byte = [shift](uint32_t code) { return static_cast<int>(code >> shift & 0xff); };
    if (std::abs(byte(a) - byte(b)) > kNearCodes) return false;
  }
  return true;
}

// The codes of pixels whose neighbours have the same one, and of those beside a near one; sorted.
struct Counted {
  std::vector<uint32_t> flat, sloping;
};

Counted Count(const std::vector<uint32_t>& codes, SizePx size) {
  Counted counted;
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const int64_t at = y * size.width + x;
      const uint32_t code = codes[static_cast<size_t>(at)];
      if (code == kNotOpaque) continue;
      // What lies beyond the artwork's edge agrees.
      const auto beside = [&](bool inside, int64_t step) {
        return inside ? codes[static_cast<size_t>(at + step)] : code;
      };
      const uint32_t around[4] = {beside(x > 0, -1), beside(x + 1 < size.width, 1),
                                  beside(y > 0, -size.width),
                                  beside(y + 1 < size.height, size.width)};
      const auto same = [code](uint32_t other) { return other == code; };
      const auto near = [code](uint32_t other) { return IsNear(code, other); };
      if (std::all_of(std::begin(around), std::end(around), same)) counted.flat.push_back(code);
      if (std::any_of(std::begin(around), std::end(around), near)) counted.sloping.push_back(code);
    }
  }
  std::sort(counted.flat.begin(), counted.flat.end());
  std::sort(counted.sloping.begin(), counted.sloping.end());
  return counted;
}

}  // namespace

Result<std::vector<MainColour>> MainColours(const Artwork& artwork) {
  const SizePx size = DrawnSize(artwork);
  const auto drawn = artwork.Rasterise(size);
  if (!drawn) return drawn.errors();
  const auto [flat, sloping] = Count(CodesOf(*drawn), size);
  const double area = CoveredArea(*drawn);
  std::vector<MainColour> colours;
  for (auto from = flat.begin(); from != flat.end();) {
    const uint32_t code = *from;
    const auto to = std::upper_bound(from, flat.end(), code);
    const auto steps = std::equal_range(sloping.begin(), sloping.end(), code);
    const auto count = static_cast<double>(to - from);
    const bool of_gradient = static_cast<double>(steps.second - steps.first) > kMostSloping * count;
    const auto byte = [code](int shift) { return static_cast<uint8_t>(code >> shift & 0xff); };
    if (count >= kLeastShare * area && !of_gradient) {
      colours.push_back({{byte(16), byte(8), byte(0)}, count / area});
    }
    from = to;
  }
  std::stable_sort(colours.begin(), colours.end(),
                   [](const MainColour& a, const MainColour& b) { return a.share > b.share; });
  if (colours.size() > kMostMainColours) colours.resize(kMostMainColours);
  return colours;
}

}  // namespace wheatpaste
