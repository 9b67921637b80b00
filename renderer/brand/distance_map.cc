#include "brand/distance_map.h"

#include <cmath>
#include <limits>
#include <vector>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBand = 32;
constexpr double kFar = std::numeric_limits<double>::infinity();

// Room for one line of pixels.
struct Envelope {
  explicit Envelope(size_t length)
      : squared(length), result(length), vertex(length), from(length) {}
  std::vector<double> squared, result;
  std::vector<size_t> vertex;
  std::vector<double> from;
};

// result(i) = min over k of squared(k) + (i - k)^2.
void LowerEnvelope(Envelope& line) {
  size_t parabolas = 0;
  for (size_t k = 0; k < line.squared.size(); ++k) {
    if (line.squared[k] == kFar) continue;
    const auto x = static_cast<double>(k);
    double from = -kFar;
    while (parabolas > 0) {
      const size_t before = line.vertex[parabolas - 1];
      const auto v = static_cast<double>(before);
      from = ((line.squared[k] + x * x) - (line.squared[before] + v * v)) / (2 * (x - v));
      if (from > line.from[parabolas - 1]) break;
      --parabolas;
      from = -kFar;
    }
    line.vertex[parabolas] = k;
    line.from[parabolas] = from;
    ++parabolas;
  }
  if (parabolas == 0) {
    std::fill(line.result.begin(), line.result.end(), kFar);
    return;
  }
  size_t current = 0;
  for (size_t i = 0; i < line.result.size(); ++i) {
    const auto x = static_cast<double>(i);
    while (current + 1 < parabolas && line.from[current + 1] < x) ++current;
    const double away = x - static_cast<double>(line.vertex[current]);
    line.result[i] = line.squared[line.vertex[current]] + away * away;
  }
}

bool IsEdge(const FlatDrawing& drawing, int64_t x, int64_t y) {
  const uint8_t part = drawing.part[drawing.At(x, y)];
  return (x > 0 && drawing.part[drawing.At(x - 1, y)] != part) ||
         (y > 0 && drawing.part[drawing.At(x, y - 1)] != part) ||
         (x + 1 < drawing.size.width && drawing.part[drawing.At(x + 1, y)] != part) ||
         (y + 1 < drawing.size.height && drawing.part[drawing.At(x, y + 1)] != part);
}

}  // namespace

Image<Coverage> DistanceToEdge(const FlatDrawing& drawing) {
  const int64_t width = drawing.size.width, height = drawing.size.height;
  Image<Coverage> distance(drawing.size);
  const auto view = distance.mutable_view();
  ParallelRows(width, kBand, [&](int64_t x0, int64_t x1) {
    Envelope line(static_cast<size_t>(height));
    for (int64_t x = x0; x < x1; ++x) {
      for (int64_t y = 0; y < height; ++y) {
        line.squared[static_cast<size_t>(y)] = IsEdge(drawing, x, y) ? 0 : kFar;
      }
      LowerEnvelope(line);
      for (int64_t y = 0; y < height; ++y) {
        view.row(y)[x] = static_cast<float>(line.result[static_cast<size_t>(y)]);
      }
    }
  });
  ParallelRows(height, kBand, [&](int64_t y0, int64_t y1) {
    Envelope line(static_cast<size_t>(width));
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < width; ++x) {
        line.squared[static_cast<size_t>(x)] = double{view.row(y)[x]};
      }
      LowerEnvelope(line);
      for (int64_t x = 0; x < width; ++x) {
        view.row(y)[x] = static_cast<float>(std::sqrt(line.result[static_cast<size_t>(x)]) + 0.5);
      }
    }
  });
  return distance;
}

}  // namespace wheatpaste
