// FEFCO 0201: the slotted box. Rules in blanks.h; check X01: L 300, B 200, H 150, t 4 give panels 304 204 304 202, flaps
// 102, creases 158 apart, a blank of 1049 x 362.
#include <algorithm>

#include "dieline/blank_pen.h"

namespace wheatpaste {

DielineDrawing Draw0201(const BlankSize& size) {
  const double t = size.t;
  constexpr double kGlueFlap = 35;
  constexpr double kGlueSlant = 10;
  BlankPen pen;
  const Walls walls =
      DrawWalls(pen, {size.l + t, size.b + t, size.l + t, size.b + t / 2}, size.h + 2 * t,
                kGlueFlap, std::min(3 * t + 1, size.h / 6), std::min(kGlueSlant, size.h / 6));
  const double slot = (t + 3) / 2, depth = (size.b + t) / 2, bottom = walls.height;
  const char* names[] = {"back", "left", "front", "right"};
  // Upright as the closed carton's top and bottom are: the top towards the back, the bottom towards the front.
  const Eigen::Vector2d top_up[] = {{0, 1}, {-1, 0}, {0, -1}, {1, 0}};
  for (size_t i = 0; i < 4; ++i) {
    const double left = walls.x[i] + slot, right = walls.x[i + 1] - slot;
    const BlankPen::Flap flap{depth, {}, 0, i % 2 == 0 ? 3 : 2};
    const std::string name = names[i];
    pen.DrawFlap({left, 0}, {right, 0}, flap, "top_" + name, top_up[i]);
    const Eigen::Vector2d bottom_up = i % 2 == 0 ? top_up[i] : Eigen::Vector2d(-top_up[i]);
    pen.DrawFlap({right, bottom}, {left, bottom}, flap, "bottom_" + name, bottom_up);
    for (const double y : {0.0, bottom}) {
      pen.Cut({{walls.x[i], y}, {left, y}});
      pen.Cut({{right, y}, {walls.x[i + 1], y}});
    }
  }
  return pen.Take();
}

}  // namespace wheatpaste
