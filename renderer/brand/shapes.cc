#include "brand/shapes.h"

namespace wheatpaste {
namespace {

// The root of a tree of merged numbers; paths are halved on the way.
int32_t RootOf(std::vector<int32_t>& above, int32_t number) {
  while (above[static_cast<size_t>(number)] != number) {
    int32_t& next = above[static_cast<size_t>(number)];
    next = above[static_cast<size_t>(next)];
    number = next;
  }
  return number;
}

}  // namespace

Shapes FindShapes(const FlatDrawing& drawing) {
  const int64_t width = drawing.size.width, height = drawing.size.height;
  Shapes found;
  found.shape_at.resize(drawing.part.size());
  std::vector<int32_t> above;
  for (int64_t y = 0; y < height; ++y) {
    for (int64_t x = 0; x < width; ++x) {
      const size_t at = drawing.At(x, y);
      int32_t number = -1;
      const auto join = [&](int64_t i, int64_t j) {
        if (i < 0 || i >= width || j < 0) return;
        const size_t other = drawing.At(i, j);
        if (drawing.part[other] != drawing.part[at]) return;
        const int32_t root = RootOf(above, found.shape_at[other]);
        if (number < 0 || number == root) {
          number = root;
          return;
        }
        const int32_t low = std::min(number, root);
        above[static_cast<size_t>(std::max(number, root))] = low;
        number = low;
      };
      join(x - 1, y);
      join(x - 1, y - 1);
      join(x, y - 1);
      join(x + 1, y - 1);
      if (number < 0) {
        number = static_cast<int32_t>(above.size());
        above.push_back(number);
      }
      found.shape_at[at] = number;
    }
  }
  std::vector<int32_t> shape_of(above.size(), -1);
  for (int64_t y = 0; y < height; ++y) {
    for (int64_t x = 0; x < width; ++x) {
      int32_t& number = found.shape_at[drawing.At(x, y)];
      int32_t& shape = shape_of[static_cast<size_t>(RootOf(above, number))];
      const RectPx pixel{x, y, x + 1, y + 1};
      if (shape < 0) {
        shape = static_cast<int32_t>(found.shapes.size());
        found.shapes.push_back({drawing.part[drawing.At(x, y)], pixel, 0});
      }
      number = shape;
      ConnectedShape& whole = found.shapes[static_cast<size_t>(shape)];
      whole.bounds = Hull(whole.bounds, pixel);
      ++whole.pixels;
    }
  }
  return found;
}

}  // namespace wheatpaste
