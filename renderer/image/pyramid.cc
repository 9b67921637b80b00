#include "image/pyramid.h"

#include <algorithm>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 32;

Image<LinearPremul> Halve(ImageView<LinearPremul> in, const Edges& edges) {
  const SizePx size{(in.width() + 1) / 2, (in.height() + 1) / 2};
  Image<LinearPremul> out(size);
  const int64_t whole_columns = in.width() / 2;
  ParallelRows(size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      const int64_t upper = 2 * y;
      const bool has_lower = upper + 1 < in.height();
      const int64_t lower = has_lower ? upper + 1 : upper;
      const float lower_weight = has_lower || edges.repeat_bottom ? 0.25f : 0.0f;
      for (int plane = 0; plane < LinearPremul::kPlanes; ++plane) {
        const float* a = in.row(plane, upper);
        const float* b = in.row(plane, lower);
        float* to = out.row(plane, y);
        for (int64_t x = 0; x < whole_columns; ++x) {
          to[x] = 0.25f * (a[2 * x] + a[2 * x + 1]) + lower_weight * (b[2 * x] + b[2 * x + 1]);
        }
        if (whole_columns < size.width) {
          const int64_t last = in.width() - 1;
          const float times = edges.repeat_right ? 2.0f : 1.0f;
          to[whole_columns] = times * (0.25f * a[last] + lower_weight * b[last]);
        }
      }
    }
  });
  return out;
}

}  // namespace

Pyramid::Pyramid(Image<LinearPremul> base, const Edges& edges) : edges_(edges) {
  levels_.reserve(kLevels);
  WHEATPASTE_CHECK(base.width() >= 1 && base.height() >= 1);
  levels_.push_back(std::move(base));
  while (level_count() < kLevels) levels_.push_back(Halve(levels_.back().view(), edges));
}

}  // namespace wheatpaste
