// resample.h - separable resizing of linear images with a chosen kernel.
//
// Model   out(i) = sum_k w((k + 0.5 - c_i) / s) in(k) / sum_k w(...), c_i = (i + 0.5) in/out + offset,
//         s = max(1, in/out): the kernel is widened by the reduction factor, weights add to 1, pixels
//         beyond the edge take no part. Catmull-Rom and Lanczos overshoot at hard edges; not clamped.
// Source  kernels: Keys 1981 (doi:10.1109/TASSP.1981.1163711), a = -1/2; Duchon 1979 for Lanczos;
//         checked against the published bit patterns R01-R04 (tests/image/resample_test.cc).
// Threads runs in parallel over rows; the same bits for any thread count.
#pragma once

#include <span>
#include <vector>

#include "image/image.h"

namespace wheatpaste {

enum class Kernel { kBox, kTriangle, kCatmullRom, kLanczos3 };

// The part [x0, x0 + width) x [y0, y0 + height) of the source, in source px, fractional allowed.
struct SourceWindow {
  double x0 = 0, y0 = 0, width = 0, height = 0;
  bool operator==(const SourceWindow&) const = default;
};

inline SourceWindow WholeWindow(SizePx size) {
  return {0, 0, static_cast<double>(size.width), static_cast<double>(size.height)};
}

// Weights for one output pixel: source pixels [first, first + weights.size()).
struct TapRow {
  int64_t first = 0;
  std::vector<float> weights;
};

// Taps for `out` pixels that cover [start, start + length) of a row of `in` source pixels.
std::vector<TapRow> MakeTaps(int64_t in, double start, double length, int64_t out, Kernel kernel);

// Source px that taps along both axes read.
RectPx PixelsOf(std::span<const TapRow> columns, std::span<const TapRow> rows);

// A picture of columns.size() x rows.size() px. Taps of a part of a picture's columns and rows give the same bits as
// there.
// part   source px from (x0, y0) on, at least those of PixelsOf.
template <typename Colour>
Image<Colour> Resample(ImageView<Colour> part, int64_t x0, int64_t y0,
                       std::span<const TapRow> columns, std::span<const TapRow> rows);

// window  the part of `source` that fills the result; pixels beyond the source's edge take no part.
// size    of the result, both at least 1.
template <typename Colour>
Image<Colour> Resample(ImageView<Colour> source, const SourceWindow& window, SizePx size,
                       Kernel kernel);

extern template Image<SceneLinear> Resample(ImageView<SceneLinear>, int64_t, int64_t,
                                            std::span<const TapRow>, std::span<const TapRow>);
extern template Image<LinearPremul> Resample(ImageView<LinearPremul>, int64_t, int64_t,
                                             std::span<const TapRow>, std::span<const TapRow>);
extern template Image<SceneLinear> Resample(ImageView<SceneLinear>, const SourceWindow&, SizePx,
                                            Kernel);
extern template Image<LinearPremul> Resample(ImageView<LinearPremul>, const SourceWindow&, SizePx,
                                             Kernel);
extern template Image<Coverage> Resample(ImageView<Coverage>, const SourceWindow&, SizePx, Kernel);

}  // namespace wheatpaste
