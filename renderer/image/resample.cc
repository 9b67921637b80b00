#include "image/resample.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

double Sinc(double x) {
  if (x == 0) return 1;
  const double p = std::numbers::pi * x;
  return std::sin(p) / p;
}

// Half the width of the kernel's support, before it is widened.
double SupportOf(Kernel kernel) {
  switch (kernel) {
    case Kernel::kBox:
      return 0.5;
    case Kernel::kTriangle:
      return 1;
    case Kernel::kCatmullRom:
      return 2;
    case Kernel::kLanczos3:
      return 3;
  }
  return 0;
}

double WeightOf(Kernel kernel, double x) {
  const double t = std::abs(x);
  switch (kernel) {
    case Kernel::kBox:
      return x > -0.5 && x <= 0.5 ? 1 : 0;
    case Kernel::kTriangle:
      return std::max(0.0, 1 - t);
    case Kernel::kCatmullRom: {
      constexpr double a = -0.5;
      if (t < 1) return ((a + 2) * t - (a + 3)) * t * t + 1;
      if (t < 2) return (((t - 5) * t + 8) * t - 4) * a;
      return 0;
    }
    case Kernel::kLanczos3:
      return t < 3 ? Sinc(t) * Sinc(t / 3) : 0;
  }
  return 0;
}

}  // namespace

std::vector<TapRow> MakeTaps(int64_t in, double start, double length, int64_t out, Kernel kernel) {
  WHEATPASTE_CHECK_OP(in, >=, 1);
  WHEATPASTE_CHECK_OP(out, >=, 1);
  const double step = length / static_cast<double>(out);
  const double widen = std::max(1.0, step);
  const double support = SupportOf(kernel) * widen;
  std::vector<TapRow> rows(static_cast<size_t>(out));
  std::vector<double> weights;
  for (int64_t i = 0; i < out; ++i) {
    const double centre = start + (static_cast<double>(i) + 0.5) * step;
    // Pixel k belongs to the kernel when its centre k + 0.5 lies within the support.
    int64_t first = static_cast<int64_t>(std::floor(centre - support + 0.5));
    int64_t last = static_cast<int64_t>(std::floor(centre + support + 0.5));
    first = std::clamp<int64_t>(first, 0, in - 1);
    last = std::clamp<int64_t>(last, first + 1, in);
    weights.clear();
    double sum = 0;
    for (int64_t k = first; k < last; ++k) {
      const double w = WeightOf(kernel, (static_cast<double>(k) + 0.5 - centre) / widen);
      weights.push_back(w);
      sum += w;
    }
    if (sum == 0) {
      std::fill(weights.begin(), weights.end(), 1.0);
      sum = static_cast<double>(weights.size());
    }
    TapRow& row = rows[static_cast<size_t>(i)];
    row.first = first;
    row.weights.reserve(weights.size());
    for (const double w : weights) row.weights.push_back(static_cast<float>(w / sum));
  }
  return rows;
}

RectPx PixelsOf(std::span<const TapRow> columns, std::span<const TapRow> rows) {
  const auto reach = [](std::span<const TapRow> taps) {
    std::pair<int64_t, int64_t> reached{taps.front().first, taps.front().first};
    for (const TapRow& tap : taps) {
      reached.first = std::min(reached.first, tap.first);
      reached.second =
          std::max(reached.second, tap.first + static_cast<int64_t>(tap.weights.size()));
    }
    return reached;
  };
  const auto [x0, x1] = reach(columns);
  const auto [y0, y1] = reach(rows);
  return {x0, y0, x1, y1};
}

template <typename Colour>
Image<Colour> Resample(ImageView<Colour> part, int64_t x0, int64_t y0,
                       std::span<const TapRow> columns, std::span<const TapRow> rows) {
  const SizePx size{static_cast<int64_t>(columns.size()), static_cast<int64_t>(rows.size())};
  const RectPx needed = PixelsOf(columns, rows);
  WHEATPASTE_CHECK_OP(needed.x1 - x0, <=, part.width());
  WHEATPASTE_CHECK_OP(needed.y1 - y0, <=, part.height());
  Image<Colour> result(size);
  // Rows first, so that the inner loop runs along memory; then columns of the one merged row.
  ParallelRows(size.height, kBandRows, [&](int64_t from, int64_t to) {
    std::vector<float> merged(static_cast<size_t>(needed.width()));
    for (int64_t y = from; y < to; ++y) {
      const TapRow& down = rows[static_cast<size_t>(y)];
      for (int plane = 0; plane < Colour::kPlanes; ++plane) {
        std::fill(merged.begin(), merged.end(), 0.0f);
        for (size_t k = 0; k < down.weights.size(); ++k) {
          const float* in =
              part.row(plane, down.first - y0 + static_cast<int64_t>(k)) + (needed.x0 - x0);
          const float w = down.weights[k];
          for (size_t x = 0; x < merged.size(); ++x) merged[x] += w * in[x];
        }
        float* out = result.row(plane, y);
        for (int64_t x = 0; x < size.width; ++x) {
          const TapRow& across = columns[static_cast<size_t>(x)];
          const float* in = merged.data() + (across.first - needed.x0);
          float sum = 0;
          for (size_t k = 0; k < across.weights.size(); ++k) sum += across.weights[k] * in[k];
          out[x] = sum;
        }
      }
    }
  });
  return result;
}

template <typename Colour>
Image<Colour> Resample(ImageView<Colour> source, const SourceWindow& window, SizePx size,
                       Kernel kernel) {
  const auto columns = MakeTaps(source.width(), window.x0, window.width, size.width, kernel);
  const auto rows = MakeTaps(source.height(), window.y0, window.height, size.height, kernel);
  return Resample(source, 0, 0, std::span<const TapRow>(columns), std::span<const TapRow>(rows));
}

template Image<SceneLinear> Resample(ImageView<SceneLinear>, int64_t, int64_t,
                                     std::span<const TapRow>, std::span<const TapRow>);
template Image<LinearPremul> Resample(ImageView<LinearPremul>, int64_t, int64_t,
                                      std::span<const TapRow>, std::span<const TapRow>);
template Image<SceneLinear> Resample(ImageView<SceneLinear>, const SourceWindow&, SizePx, Kernel);
template Image<LinearPremul> Resample(ImageView<LinearPremul>, const SourceWindow&, SizePx, Kernel);
template Image<Coverage> Resample(ImageView<Coverage>, const SourceWindow&, SizePx, Kernel);

}  // namespace wheatpaste
