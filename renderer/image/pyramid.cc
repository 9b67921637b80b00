#include "image/pyramid.h"

#include <utility>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;

PyramidBase BaseOf(Image<LinearPremul> image) {
  PyramidBase base(image.size());
  ParallelRows(image.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    base.Put(y0, image.view().Part({0, y0, image.width(), y1}));
  });
  return base;
}

}  // namespace

PyramidBase::PyramidBase(SizePx size)
    : size_(size), pixels_(UnsetFloats(static_cast<size_t>(4 * size.area()))) {
  WHEATPASTE_CHECK(size.width >= 1 && size.height >= 1);
}

void PyramidBase::Put(int64_t y0, ImageView<LinearPremul> rows) {
  WHEATPASTE_CHECK_OP(rows.width(), ==, size_.width);
  WHEATPASTE_CHECK(y0 >= 0 && y0 + rows.height() <= size_.height);
  float* to = pixels_.get() + 4 * y0 * size_.width;
  for (int64_t y = 0; y < rows.height(); ++y) {
    const float* const r = rows.row(0, y);
    const float* const g = rows.row(1, y);
    const float* const b = rows.row(2, y);
    const float* const a = rows.row(3, y);
    for (int64_t x = 0; x < size_.width; ++x, to += 4) {
      to[0] = r[x];
      to[1] = g[x];
      to[2] = b[x];
      to[3] = a[x];
    }
  }
}

Pyramid::Level Pyramid::Halve(const Level& in) const {
  Level out;
  out.size = {(in.size.width + 1) / 2, (in.size.height + 1) / 2};
  out.pixels = UnsetFloats(static_cast<size_t>(4 * out.size.area()));
  const int64_t whole_columns = in.size.width / 2;
  ParallelRows(out.size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      const int64_t upper = 2 * y;
      const bool has_lower = upper + 1 < in.size.height;
      const float lower_weight = has_lower || edges_.repeat_bottom ? 0.25f : 0.0f;
      const float* const a = in.pixels.get() + 4 * upper * in.size.width;
      const float* const b = has_lower ? a + 4 * in.size.width : a;
      float* const to = out.pixels.get() + 4 * y * out.size.width;
      for (int64_t x = 0; x < whole_columns; ++x) {
        for (int64_t c = 0; c < 4; ++c) {
          to[4 * x + c] = 0.25f * (a[8 * x + c] + a[8 * x + 4 + c]) +
                          lower_weight * (b[8 * x + c] + b[8 * x + 4 + c]);
        }
      }
      if (whole_columns < out.size.width) {
        const int64_t last = 4 * (in.size.width - 1);
        const float times = edges_.repeat_right ? 2.0f : 1.0f;
        for (int64_t c = 0; c < 4; ++c) {
          to[4 * whole_columns + c] = times * (0.25f * a[last + c] + lower_weight * b[last + c]);
        }
      }
    }
  });
  return out;
}

Pyramid::Pyramid(PyramidBase base, const Edges& edges) : edges_(edges) {
  levels_.reserve(kLevels);
  levels_.push_back({base.size_, std::move(base.pixels_)});
  while (levels_.size() < kLevels) levels_.push_back(Halve(levels_.back()));
}

Pyramid::Pyramid(Image<LinearPremul> base, const Edges& edges)
    : Pyramid(BaseOf(std::move(base)), edges) {}

}  // namespace wheatpaste
