// shapes.h - the connected shapes of a drawing in flat colours: a letter, a dot, a gap.
//
// Model   pixels of one part that touch, by sides or corners. Numbered row by row by their first pixel.
#pragma once

#include <cstdint>
#include <vector>

#include "base/rect.h"
#include "brand/flat_drawing.h"

namespace wheatpaste {

struct ConnectedShape {
  uint8_t part = 0;
  RectPx bounds;
  int64_t pixels = 0;
};

struct Shapes {
  std::vector<int32_t> shape_at;  // of each pixel, index into `shapes`
  std::vector<ConnectedShape> shapes;
};

Shapes FindShapes(const FlatDrawing& drawing);

}  // namespace wheatpaste
