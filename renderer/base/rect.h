// rect.h - sizes and half-open rectangles of whole pixels.
#pragma once

#include <algorithm>
#include <cstdint>

namespace wheatpaste {

struct SizePx {
  int64_t width = 0;
  int64_t height = 0;
  int64_t area() const { return width * height; }
  bool operator==(const SizePx&) const = default;
};

// Columns [x0, x1), rows [y0, y1). Empty when a side is not positive.
struct RectPx {
  int64_t x0 = 0;
  int64_t y0 = 0;
  int64_t x1 = 0;
  int64_t y1 = 0;
  int64_t width() const { return std::max<int64_t>(0, x1 - x0); }
  int64_t height() const { return std::max<int64_t>(0, y1 - y0); }
  int64_t area() const { return width() * height(); }
  bool empty() const { return x1 <= x0 || y1 <= y0; }
  bool operator==(const RectPx&) const = default;
};

inline RectPx Intersect(const RectPx& a, const RectPx& b) {
  return {std::max(a.x0, b.x0), std::max(a.y0, b.y0), std::min(a.x1, b.x1), std::min(a.y1, b.y1)};
}

// The smallest rectangle that holds both.
inline RectPx Hull(const RectPx& a, const RectPx& b) {
  return {std::min(a.x0, b.x0), std::min(a.y0, b.y0), std::max(a.x1, b.x1), std::max(a.y1, b.y1)};
}

inline RectPx WholeOf(const SizePx& size) { return {0, 0, size.width, size.height}; }

inline RectPx Grow(const RectPx& rect, int64_t by) {
  return {rect.x0 - by, rect.y0 - by, rect.x1 + by, rect.y1 + by};
}

}  // namespace wheatpaste
