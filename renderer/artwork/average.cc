#include "artwork/average.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <vector>

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
constexpr int kWindow = 8;  // pixels in a row of the window; the factor and a ring take 3 to 6

struct OutputRow {
  float* r;
  float* g;
  float* b;
  float* a;
};

// Of the columns drawn, those that make output pixels: `wanted` from `first` on. What is left on either
// side, none or one, lies beyond.
struct Columns {
  int64_t count = 0;
  int64_t first = 0;
  int64_t wanted = 0;
};

// One output row of a drawing kFactor times as large each way.
template <int kFactor>
class RowAverager {
  static constexpr int kSide = kFactor + 2;
  // A lone drawn pixel may itself be an edge; several alike are not.
  static constexpr int kLonely = kFactor == 1 ? 1 : 0;

 public:
  RowAverager(const Columns& columns, bool edges)
      : columns_(columns), edges_(edges), differs_(static_cast<size_t>(columns.count)) {}

  // rows  the row's kFactor drawn rows, one above and one below.
  void Average(const std::array<const uint32_t*, kSide>& rows, const OutputRow& out) {
    CompareRows(rows);
    const int64_t width = columns_.wanted / kFactor;
    for (int64_t x = 0; x < width;) {
      const int64_t end = FlatUntil(rows, x);
      if (end == x) {
        Mixed(rows, x, out);
        ++x;
        continue;
      }
      const uint32_t colour = rows[1][columns_.first + x * kFactor];
      std::fill(out.r + x, out.r + end, linear_[Channel(colour, 16)]);
      std::fill(out.g + x, out.g + end, linear_[Channel(colour, 8)]);
      std::fill(out.b + x, out.b + end, linear_[Channel(colour, 0)]);
      std::fill(out.a + x, out.a + end, colour == 0 ? 0.f : 1.f);
      x = end;
    }
  }

 private:
  using Window = std::array<std::array<uint32_t, kWindow>, kSide>;
  using Codes = std::array<uint8_t, 4 * kWindow>;  // the bytes of a row of it

  int ring() const { return edges_ ? kLonely : 0; }

  // Fills differs_: of each drawn column, 0 where its rows are all alike and like the one before.
  void CompareRows(const std::array<const uint32_t*, kSide>& rows) {
    uint32_t* const differs = differs_.data();
    const uint32_t* const first = rows[1];
    differs[0] = 0;
    for (int64_t k = 1; k < columns_.count; ++k) differs[k] = first[k] ^ first[k - 1];
    for (int i = 1 - ring(); i <= kFactor + ring(); ++i) {
      const uint32_t* const row = rows[static_cast<size_t>(i)];
      for (int64_t k = 0; k < columns_.count; ++k) differs[k] |= row[k] ^ first[k];
    }
  }

  // The end of the run of pixels from x on that are clear, or of one opaque colour; x if none is.
  int64_t FlatUntil(const std::array<const uint32_t*, kSide>& rows, int64_t x) const {
    const int64_t start = std::max<int64_t>(0, columns_.first + x * kFactor - ring());
    const uint32_t colour = rows[1][start];
    if (colour != 0 && Channel(colour, 24) != 255) return x;
    for (int i = 1 - ring(); i <= kFactor + ring(); ++i) {
      if (rows[static_cast<size_t>(i)][start] != colour) return x;
    }
    constexpr int64_t kStride = 16;
    int64_t k = start + 1;
    for (; k + kStride <= columns_.count; k += kStride) {
      uint32_t any = 0;
      for (int64_t j = k; j < k + kStride; ++j) any |= differs_[j];
      if (any != 0) break;
    }
    while (k < columns_.count && differs_[k] == 0) ++k;
    // The drawing's own right edge has nothing beyond it.
    const bool at_edge = k == columns_.count && columns_.count == columns_.first + columns_.wanted;
    const int64_t end = (k - columns_.first - (at_edge ? 0 : ring())) / kFactor;
    return std::clamp(end, x, columns_.wanted / kFactor);
  }

  void Mixed(const std::array<const uint32_t*, kSide>& rows, int64_t x, const OutputRow& out) {
    Window window;
    const int64_t left = columns_.first + x * kFactor - 1;
    const bool inside = left >= 0 && left + kWindow <= columns_.count;
    uint32_t all = ~0u;
    for (int i = 0; i < kSide; ++i) {
      if (inside) {
        std::copy_n(rows[i] + left, kWindow, window[i].begin());
      } else {
        for (int k = 0; k < kWindow; ++k) {
          window[i][k] = rows[i][std::clamp<int64_t>(left + k, 0, columns_.count - 1)];
        }
      }
      for (int k = 0; k < kSide; ++k) all &= window[i][k];
    }
    std::array<float, 4> sum{};
    if (edges_ && Channel(all, 24) == 255) {
      AddOpaque(window, sum);
    } else {
      SumClear(window, sum);
    }
    constexpr float kScale = 1.f / (kFactor * kFactor);
    out.r[x] = sum[0] * kScale;
    out.g[x] = sum[1] * kScale;
    out.b[x] = sum[2] * kScale;
    out.a[x] = sum[3] * kScale;
  }

  // The light of an opaque window without its ring, summed, by the edge model. Least and largest codes are
  // found for all channels of a row at once.
  void AddOpaque(const Window& window, std::array<float, 4>& sum) const {
    for (int y = 1; y <= kFactor; ++y) {
      const auto above = std::bit_cast<Codes>(window[y - 1]);
      const auto here = std::bit_cast<Codes>(window[y]);
      const auto below = std::bit_cast<Codes>(window[y + 1]);
      Codes low, high;  // of three rows, by column
      for (size_t j = 0; j < low.size(); ++j) {
        low[j] = std::min(std::min(above[j], here[j]), below[j]);
        high[j] = std::max(std::max(above[j], here[j]), below[j]);
      }
      Codes least{}, largest{};  // of 3 x 3
      for (size_t j = 4; j < low.size() - 4; ++j) {
        least[j] = std::min(std::min(low[j - 4], low[j]), low[j + 4]);
        largest[j] = std::max(std::max(high[j - 4], high[j]), high[j + 4]);
      }
      const auto least_of = std::bit_cast<std::array<uint32_t, kWindow>>(least);
      const auto largest_of = std::bit_cast<std::array<uint32_t, kWindow>>(largest);
      for (int k = 1; k <= kFactor; ++k) {
        for (size_t c = 0; c < kShifts.size(); ++c) {
          sum[c] += LightOf(Channel(window[y][k], kShifts[c]), Channel(least_of[k], kShifts[c]),
                            Channel(largest_of[k], kShifts[c]));
        }
      }
    }
    sum[3] = kFactor * kFactor;
  }

  float LightOf(int code, int least, int largest) const {
    if (code == least || code == largest || largest - least <= kSmoothCodes) return linear_[code];
    const float t = static_cast<float>(code - least) / static_cast<float>(largest - least);
    return linear_[least] + t * (linear_[largest] - linear_[least]);
  }

  // Colour and alpha of a window with clear parts, or without the edge model.
  void SumClear(const Window& window, std::array<float, 4>& sum) const {
    for (int y = 1; y <= kFactor; ++y) {
      for (int k = 1; k <= kFactor; ++k) {
        const uint32_t pixel = window[y][k];
        const int alpha = Channel(pixel, 24);
        if (alpha == 0) continue;
        const float share = static_cast<float>(alpha) / 255;
        for (size_t c = 0; c < kShifts.size(); ++c) {
          const int code = Channel(pixel, kShifts[c]);
          if (alpha == 255) {
            sum[c] += linear_[code];
            continue;
          }
          // Between two table entries the curve is straight to 1e-5.
          const float full = std::min(255.f, static_cast<float>(code) / share);
          const int below = std::min(254, static_cast<int>(full));
          const float part = full - static_cast<float>(below);
          sum[c] += share * (linear_[below] + part * (linear_[below + 1] - linear_[below]));
        }
        sum[3] += share;
      }
    }
  }

  const std::array<float, 256>& linear_ = LinearTable();
  Columns columns_;
  bool edges_;
  std::vector<uint32_t> differs_;
};

}  // namespace

RectPx DrawnFor(const RectPx& wanted, int factor, SizePx whole) {
  return {std::max<int64_t>(0, wanted.x0 * factor - 1),
          std::max<int64_t>(0, wanted.y0 * factor - 1),
          std::min(whole.width, wanted.x1 * factor + 1),
          std::min(whole.height, wanted.y1 * factor + 1)};
}

namespace {

template <int kFactor>
void AverageRows(const DrawnPart& drawn, bool edges, const RectPx& wanted,
                 MutableImageView<LinearPremul> out) {
  const RectPx needed = DrawnFor(wanted, kFactor, drawn.whole);
  RowAverager<kFactor> averager(
      {needed.width(), wanted.x0 * kFactor - needed.x0, wanted.width() * kFactor}, edges);
  const uint32_t* const first = drawn.pixels + (needed.x0 - drawn.part.x0);
  for (int64_t y = wanted.y0; y < wanted.y1; ++y) {
    std::array<const uint32_t*, kFactor + 2> rows;
    for (int i = 0; i < kFactor + 2; ++i) {
      const int64_t at = std::clamp<int64_t>(y * kFactor + i - 1, 0, drawn.whole.height - 1);
      rows[i] = first + (at - drawn.part.y0) * drawn.part.width();
    }
    const int64_t to = y - wanted.y0;
    averager.Average(rows, {out.row(0, to), out.row(1, to), out.row(2, to), out.row(3, to)});
  }
}

}  // namespace

void AverageDrawn(const DrawnPart& drawn, int factor, bool edges, const RectPx& wanted,
                  MutableImageView<LinearPremul> out) {
  switch (factor) {
    case 1:
      return AverageRows<1>(drawn, edges, wanted, out);
    case 2:
      return AverageRows<2>(drawn, edges, wanted, out);
    case 3:
      return AverageRows<3>(drawn, edges, wanted, out);
    case kMaxFactor:
      return AverageRows<kMaxFactor>(drawn, edges, wanted, out);
    default:
      WHEATPASTE_CHECK_OP(factor, <=, kMaxFactor);
      WHEATPASTE_CHECK_OP(factor, >=, 1);
  }
}

}  // namespace wheatpaste
