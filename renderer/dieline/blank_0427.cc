// FEFCO 0427: tray with lid, folded without glue. A column from the front over bottom, back and top to the tuck; beside the bottom the
// sides, each rolled over a ridge to an inner wall whose tabs lock in the bottom; flaps of front and back stand in the rolled sides.
//
// Rules   front about H, sides H + t, ridge 2 t + 1, inner walls H - t, tabs t thick and 25 to 30 wide, corner flaps min(B / 2, H) - 2 t,
//         ears of the lid H - 2 t: from memory. How they are adjusted here, so that three layers stand beside each other with
//         kPlay between them at the bends of fold.h, and the tuck within the front, is derived here (fold_test.cc).
#include <algorithm>

#include "dieline/blank_pen.h"

namespace wheatpaste {
namespace {

using Eigen::Vector2d;

constexpr double kPlay = 1;

// A side: x counts outwards from the bottom's middle, `side` is -1 to the left.
void DrawSide(BlankPen& pen, const BlankSize& size, double side, double bottom_width,
              double bottom_depth, double outer_depth) {
  const double t = size.t, q = size.q();
  const double wall = size.h + 2 * t - q;         // outside as high as the lid
  const double ridge = 3 * t + kPlay - q;         // outer wall, flap, inner wall
  const double inner = size.h + t - 0.5 - q / 2;  // stands 0.5 above the bottom
  const double tab = t + 0.2, tab_width = std::clamp(bottom_depth / 5, 6.0, 25.0);
  const double half = bottom_depth / 2 - 0.25, inside = (outer_depth - 2 * t - 1) / 2;
  const auto at = [&](double x, double y) { return Vector2d(side * (bottom_width / 2 + x), y); };
  const std::string name = side < 0 ? "left" : "right";
  const Vector2d up(side, 0);
  pen.Crease(at(0, -half), at(0, half), 3);
  pen.Crease(at(wall, -inside), at(wall, inside), 4);
  pen.Crease(at(wall + ridge, -inside), at(wall + ridge, inside), 4);
  for (const double end : {-1.0, 1.0}) {
    const double free = wall + ridge + inner;
    BlankPen::Points edge{at(0, end * bottom_depth / 2), at(0, end * half), at(wall, end * half),
                          at(wall, end * inside), at(free, end * inside)};
    const double middle = end * inside / 2;
    for (const double tab_end : {1.0, -1.0}) {
      const double y = middle + end * tab_end * tab_width / 2;
      const BlankPen::Points corners = tab_end > 0
                                           ? BlankPen::Points{at(free, y), at(free + tab, y)}
                                           : BlankPen::Points{at(free + tab, y), at(free, y)};
      edge.insert(edge.end(), corners.begin(), corners.end());
    }
    edge.push_back(at(free, 0));
    pen.Cut(std::move(edge));
    // The slot for it, as far from the side's outside as the inner wall.
    const double near = 2 * t + kPlay - 0.25 - q / 2, far = 3 * t + kPlay + 0.25 - q / 2;
    const double slot = tab_width / 2 + 0.5;
    pen.Cut({at(-near, middle - slot), at(-near, middle + slot), at(-far, middle + slot),
             at(-far, middle - slot), at(-near, middle - slot)});
  }
  pen.Name(name, at(wall / 2, 0), up);
  pen.Name("ridge_" + name, at(wall + ridge / 2, 0), up);
  pen.Name("inner_" + name, at(wall + ridge + inner / 2, 0), -up);
}

// Front or back: y counts outwards from the bottom's crease, `end` is -1 at the front (above on the sheet).
struct WallPlace {
  double end = 0, line = 0, width = 0, height = 0;
  Vector2d At(double x, double y) const { return {x, line + end * y}; }
};

void DrawCornerFlaps(BlankPen& pen, const BlankSize& size, const WallPlace& wall,
                     const std::string& name) {
  const double low = size.t + 0.5, high = size.h + size.t - size.q() / 2 - 0.5;
  const double depth = std::max(4.0, std::min(size.b / 2, size.h) - 2 * size.t);
  for (const double side : {-1.0, 1.0}) {
    const double x = side * wall.width / 2;
    Vector2d from = wall.At(x, low), to = wall.At(x, high);
    pen.Cut({wall.At(x, 0), from});
    pen.Cut({to, wall.At(x, wall.height)});
    // The flap lies to the left of its crease.
    if ((side > 0) == (wall.end < 0)) std::swap(from, to);
    const double slant = std::min(depth / 6, (high - low) / 6);
    pen.DrawFlap(from, to, {depth, {slant, slant}, 3, 2},
                 "flap_" + name + (side < 0 ? "_left" : "_right"), {0, wall.end});
  }
}

void DrawLid(BlankPen& pen, const BlankSize& size, const WallPlace& back, double outer_depth) {
  const double t = size.t, q = size.q();
  const double width = size.l - kPlay - q;  // with its ears between the inner walls
  const double depth = outer_depth - t - 0.3 - q;
  const double near = back.height, far = back.height + depth, half = width / 2;
  const double ear_inset = 3 * t + 2, ear = std::max(4.0, size.h - 2 * t);
  pen.Crease(back.At(-half, near), back.At(half, near), 5);
  for (const double side : {-1.0, 1.0}) {
    pen.Cut({back.At(side * back.width / 2, near), back.At(side * half, near),
             back.At(side * half, near + ear_inset)});
    Vector2d from = back.At(side * half, near + ear_inset),
             to = back.At(side * half, far - ear_inset);
    if (side < 0) std::swap(from, to);
    pen.DrawFlap(from, to, {ear, {ear / 8, ear / 8}, std::min(8.0, ear / 3), 6},
                 side < 0 ? "ear_left" : "ear_right", {-side, 0});
  }
  const double tuck_half = half - t - 1.5, tuck = std::max(0.6 * size.h, size.h - t - 1);
  pen.Crease(back.At(-tuck_half, far), back.At(tuck_half, far), 6);
  for (const double side : {-1.0, 1.0}) {
    pen.Cut({back.At(side * half, far - ear_inset), back.At(side * half, far),
             back.At(side * tuck_half, far)});
  }
  pen.Cut(Rounded({back.At(-tuck_half, far), back.At(-tuck_half, far + tuck),
                   back.At(tuck_half, far + tuck), back.At(tuck_half, far)},
                  std::min(8.0, tuck / 3)));
  pen.Name("top", back.At(0, near + depth / 2), {0, -1});
  pen.Name("tuck", back.At(0, far + tuck / 2), {0, -1});
}

}  // namespace

DielineDrawing Draw0427(const BlankSize& size) {
  const double t = size.t, q = size.q();
  const double outer_width = size.l + 2 * (3 * t + kPlay);
  const double outer_depth = size.b + 3 * t + 0.5;  // front, tuck, back
  const double width = outer_width - q, depth = outer_depth - q;
  BlankPen pen;
  for (const double side : {-1.0, 1.0}) DrawSide(pen, size, side, width, depth, outer_depth);
  // Their flaps stand half of the play within the sides.
  const double wall_width = outer_width - 2 * t - kPlay - q;
  const WallPlace front{-1, -depth / 2, wall_width, size.h + 1.5 * t - q / 2};
  const WallPlace back{1, depth / 2, wall_width, size.h + 2 * t - q};
  for (const WallPlace* wall : {&front, &back}) {
    const double half = wall_width / 2;
    pen.Crease(wall->At(-half, 0), wall->At(half, 0), 1);
    for (const double side : {-1.0, 1.0}) {
      pen.Cut({wall->At(side * width / 2, 0), wall->At(side * half, 0)});
    }
    const std::string name = wall == &front ? "front" : "back";
    DrawCornerFlaps(pen, size, *wall, name);
    pen.Name(name, wall->At(0, wall->height / 2), {0, wall->end});
  }
  pen.Cut({front.At(-wall_width / 2, front.height), front.At(wall_width / 2, front.height)});
  pen.Name("bottom", {0, 0}, {0, -1});
  DrawLid(pen, size, back, outer_depth);
  return pen.Take();
}

}  // namespace wheatpaste
