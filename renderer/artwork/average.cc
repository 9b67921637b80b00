#include "artwork/average.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/check.h"
#include "colour/srgb.h"

namespace wheatpaste {
namespace {

// lin(code / 255) for the 256 codes.
const std::array<float, 256>& LinearTable() {
  static const std::array<float, 256> table = [] {
    std::array<float, 256> made{};
    for (size_t code = 0; code < made.size(); ++code) {
      made[code] = static_cast<float>(LinearFromSrgb(static_cast<double>(code) / 255));
    }
    return made;
  }();
  return table;
}

int Channel(uint32_t pixel, int shift) { return static_cast<int>(pixel >> shift & 0xFF); }

constexpr std::array<int, 3> kShifts = {16, 8, 0};  // red, green, blue
constexpr int kMaxWindow = 8;  // of drawn pixels: the factor and a ring around it

// One output pixel's drawn pixels with a ring of one around them, edge pixels repeated.
struct Window {
  std::array<std::array<uint32_t, kMaxWindow>, kMaxWindow> at;
  int side = 0;
};

// The light of drawn pixel (x, y) of the window, which is opaque and has opaque neighbours.
float EdgeLight(const Window& window, int x, int y, int shift,
                const std::array<float, 256>& linear) {
  const int code = Channel(window.at[y][x], shift);
  int low = code, high = code;
  for (int row = y - 1; row <= y + 1; ++row) {
    for (int column = x - 1; column <= x + 1; ++column) {
      const int near = Channel(window.at[row][column], shift);
      low = std::min(low, near);
      high = std::max(high, near);
    }
  }
  if (code == low || code == high || high - low <= kSmoothCodes) return linear[code];
  const float t = static_cast<float>(code - low) / static_cast<float>(high - low);
  return linear[low] + t * (linear[high] - linear[low]);
}

LinearPremul AverageWindow(const Window& window, bool edges, const std::array<float, 256>& linear) {
  std::array<float, 4> sum{};
  bool opaque = edges;
  for (int y = 0; opaque && y < window.side; ++y) {
    for (int x = 0; x < window.side; ++x) opaque = opaque && Channel(window.at[y][x], 24) == 255;
  }
  for (int y = 1; y < window.side - 1; ++y) {
    for (int x = 1; x < window.side - 1; ++x) {
      const uint32_t pixel = window.at[y][x];
      const int alpha = Channel(pixel, 24);
      if (alpha == 0) continue;
      const float share = static_cast<float>(alpha) / 255;
      for (size_t c = 0; c < kShifts.size(); ++c) {
        const int code = Channel(pixel, kShifts[c]);
        if (opaque) {
          sum[c] += EdgeLight(window, x, y, kShifts[c], linear);
        } else if (alpha == 255) {
          sum[c] += linear[code];
        } else {
          // Between two table entries the curve is straight to 1e-5.
          const float full = std::min(255.f, static_cast<float>(code) / share);
          const int below = std::min(254, static_cast<int>(full));
          const float part = full - static_cast<float>(below);
          sum[c] += share * (linear[below] + part * (linear[below + 1] - linear[below]));
        }
      }
      sum[3] += share;
    }
  }
  const float scale = 1 / static_cast<float>((window.side - 2) * (window.side - 2));
  return {sum[0] * scale, sum[1] * scale, sum[2] * scale, sum[3] * scale};
}

}  // namespace

void AverageBand(const DrawnBand& band, int factor, bool edges, int64_t out_y0, int64_t out_y1,
                 MutableImageView<LinearPremul> out) {
  WHEATPASTE_CHECK_OP(factor + 2, <=, kMaxWindow);
  const auto& linear = LinearTable();
  const int64_t width = band.whole.width;
  const auto row_at = [&](int64_t y) {
    y = std::clamp<int64_t>(y, 0, band.whole.height - 1);
    return band.pixels + (y - band.y0) * width;
  };
  // A lone drawn pixel may itself be an edge; several alike are not.
  const int ring = factor == 1 && edges ? 1 : 0;
  Window window;
  window.side = factor + 2;
  std::array<const uint32_t*, kMaxWindow> rows{};
  for (int64_t y = out_y0; y < out_y1; ++y) {
    for (int i = 0; i < window.side; ++i) rows[i] = row_at(y * factor + i - 1);
    float* const r = out.row(0, y);
    float* const g = out.row(1, y);
    float* const b = out.row(2, y);
    float* const a = out.row(3, y);
    for (int64_t x = 0; x < out.width(); ++x) {
      const int64_t left = x * factor;
      const uint32_t first = rows[1][left];
      uint32_t differs = 0;
      for (int i = 1 - ring; i <= factor + ring; ++i) {
        for (int64_t k = std::max<int64_t>(0, left - ring);
             k < std::min(width, left + factor + ring); ++k) {
          differs |= rows[i][k] ^ first;
        }
      }
      if (differs == 0 && first == 0) {
        r[x] = g[x] = b[x] = a[x] = 0;
        continue;
      }
      if (differs == 0 && Channel(first, 24) == 255) {
        r[x] = linear[Channel(first, 16)];
        g[x] = linear[Channel(first, 8)];
        b[x] = linear[Channel(first, 0)];
        a[x] = 1;
        continue;
      }
      for (int i = 0; i < window.side; ++i) {
        for (int k = 0; k < window.side; ++k) {
          window.at[i][k] = rows[i][std::clamp<int64_t>(left + k - 1, 0, width - 1)];
        }
      }
      const LinearPremul pixel = AverageWindow(window, edges, linear);
      r[x] = pixel.r;
      g[x] = pixel.g;
      b[x] = pixel.b;
      a[x] = pixel.a;
    }
  }
}

}  // namespace wheatpaste
