#include "image/polygon_coverage.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

// Adds to `row` (one value a pixel, plus one past the end) the differences whose running sum is the area
// to the right of a segment that spans y0 to y1 of one pixel row, from x0 to x1, within [0, width].
void AddSegment(std::vector<double>& row, double x0, double x1, double dy, int64_t width) {
  if (x0 > x1) std::swap(x0, x1);
  const auto first = static_cast<int64_t>(std::floor(x0));
  const auto last = static_cast<int64_t>(std::floor(x1));
  if (first == last) {
    if (first >= width) return;
    const double right = static_cast<double>(first) + 1 - (x0 + x1) / 2;
    row[static_cast<size_t>(first)] += dy * right;
    row[static_cast<size_t>(first) + 1] += dy * (1 - right);
    return;
  }
  // Area to the right of the segment within columns up to `c`'s right end, as a function of c.
  const double slope = dy / (x1 - x0);
  double covered = 0;  // value of the running sum so far
  for (int64_t c = first; c <= last && c < width; ++c) {
    const double left = static_cast<double>(c), right = left + 1;
    const double a = std::max(x0, left), b = std::min(x1, right);
    // Height gained left of this pixel's part counts whole, within it by its mean distance.
    const double before = (a - x0) * slope;
    const double area = before + (b - a) * slope * (right - (a + b) / 2);
    row[static_cast<size_t>(c)] += area - covered;
    covered = area;
  }
  const int64_t next = last + 1;
  if (next <= width) row[static_cast<size_t>(next)] += dy - covered;
}

}  // namespace

Image<Coverage> PolygonCoverage(std::span<const Eigen::Vector2d> outline, const RectPx& region) {
  const int64_t width = region.width(), height = region.height();
  Image<Coverage> result({width, height});
  if (width == 0 || height == 0) return result;
  std::vector<std::vector<double>> rows(static_cast<size_t>(height));
  for (size_t i = 0; i < outline.size(); ++i) {
    Eigen::Vector2d a = outline[i], b = outline[(i + 1) % outline.size()];
    a -= Eigen::Vector2d(static_cast<double>(region.x0), static_cast<double>(region.y0));
    b -= Eigen::Vector2d(static_cast<double>(region.x0), static_cast<double>(region.y0));
    if (a.y() == b.y()) continue;
    const double sign = a.y() < b.y() ? 1 : -1;
    if (sign < 0) std::swap(a, b);
    const double dx_dy = (b.x() - a.x()) / (b.y() - a.y());
    const double top = std::max(0.0, a.y()), bottom = std::min(static_cast<double>(height), b.y());
    for (auto y = static_cast<int64_t>(std::floor(top)); static_cast<double>(y) < bottom; ++y) {
      auto& row = rows[static_cast<size_t>(y)];
      if (row.empty()) row.assign(static_cast<size_t>(width) + 2, 0.0);
      double y0 = std::max(top, static_cast<double>(y));
      const double y1 = std::min(bottom, static_cast<double>(y + 1));
      // Left of the region counts as its left edge, right of it not at all: cut the piece there.
      double cuts[4] = {y0, y1, y1, y1};
      int count = 1;
      if (dx_dy != 0) {
        for (const double edge : {0.0, static_cast<double>(width)}) {
          const double at = a.y() + (edge - a.x()) / dx_dy;
          if (at > y0 && at < y1) cuts[count++] = at;
        }
      }
      cuts[count] = y1;
      if (count == 3 && cuts[1] > cuts[2]) std::swap(cuts[1], cuts[2]);
      for (int part = 0; part < count; ++part) {
        const double from = cuts[part], to = cuts[part + 1];
        if (to <= from) continue;
        const double w = static_cast<double>(width);
        const double x0 = std::clamp(a.x() + (from - a.y()) * dx_dy, 0.0, w);
        const double x1 = std::clamp(a.x() + (to - a.y()) * dx_dy, 0.0, w);
        AddSegment(row, x0, x1, sign * (to - from), width);
      }
    }
  }
  for (int64_t y = 0; y < height; ++y) {
    const auto& row = rows[static_cast<size_t>(y)];
    if (row.empty()) continue;
    float* out = result.row(0, y);
    double sum = 0;
    for (int64_t x = 0; x < width; ++x) {
      sum += row[static_cast<size_t>(x)];
      out[x] = static_cast<float>(std::min(1.0, std::abs(sum)));
      // Rounding must not leave a full pixel a hair short, nor an empty one a hair covered.
      if (out[x] < 1e-6f) out[x] = 0;
      if (out[x] > 1 - 1e-6f) out[x] = 1;
    }
  }
  return result;
}

}  // namespace wheatpaste
