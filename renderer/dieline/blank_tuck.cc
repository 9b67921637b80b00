// ECMA A20.20 and its reverse: folding carton with a lid that tucks in at both ends; and the sleeve, which has none.
// Rules in blanks.h. Derived here: walls 2 t wider than the inner measures less what bends add (fold.h), so that the goods have
// room; the body's height, H + 4 t less the same, as two layers lie above and below them; how
// far lids and flaps stand back at their creases, so that they pass each other (fold_test.cc).
#include <algorithm>
#include <cmath>

#include "dieline/blank_pen.h"

namespace wheatpaste {
namespace {

constexpr double kShorter = 0.5;  // last two panels, lids
constexpr double kGlueFlap = 14;
const double kGlueTaper = std::tan(15 * std::numbers::pi / 180);

using Eigen::Vector2d;

// The two walls beside the glue flap; the others are shorter, and leave the inner measure between them.
double Wall(const BlankSize& size, double inner) {
  return inner + 2 * size.t - size.q() + kShorter;
}

Walls DrawTube(BlankPen& pen, const BlankSize& size, double height, double corner) {
  const double l = Wall(size, size.l), b = Wall(size, size.b);
  const double glue = std::min(kGlueFlap, b / 2);
  return DrawWalls(pen, {l, b, l - kShorter, b - kShorter}, height, glue, corner,
                   std::min(glue * kGlueTaper, height / 6));
}

// One end of the carton; `down` is 1 at the bottom.
class EndPen {
 public:
  EndPen(BlankPen& pen, const BlankSize& size, const Walls& walls, bool bottom)
      : pen_(pen), size_(size), walls_(walls), bottom_(bottom) {}

  void DrawEnd(size_t lid_wall) {
    const size_t open_wall = 2 - lid_wall;
    for (size_t wall = 0; wall < 4; ++wall) {
      if (wall == lid_wall) {
        DrawLid(wall);
      } else if (wall == open_wall) {
        pen_.Cut({At(walls_.x[wall], 0), At(walls_.x[wall + 1], 0)});
      } else {
        // The tuck passes the dust flaps on the open wall's side.
        DrawDustFlap(wall, (wall == 1) == (open_wall == 2));
      }
    }
  }

 private:
  // y counts outwards from the end's creases.
  Vector2d At(double x, double out) const { return {x, bottom_ ? walls_.height + out : -out}; }
  std::string NameOf(const std::string& flap) const { return flap + (bottom_ ? "bottom" : "top"); }

  void DrawLid(size_t wall) {
    const double t = size_.t, back = 1.2 * t + 0.2;
    // The back ends farther in where it turns into the glue flap, which lies two layers deep.
    const double left = walls_.x[wall] + back + (wall == 0 ? 2 * t : 0);
    const double right = walls_.x[wall + 1] - back;
    const double depth = Wall(size_, size_.b) - std::max(kShorter, t + 0.05);
    const double tuck = std::min(std::clamp(size_.b / 3, 12.0, 20.0), size_.h / 2);
    const double slit = std::min(6.0, size_.l / 12), tuck_in = t + 1;
    for (const double x : {walls_.x[wall], walls_.x[wall + 1]}) {
      pen_.Cut({At(x, 0), At(x == walls_.x[wall] ? left : right, 0)});
    }
    pen_.Crease(At(left, 0), At(right, 0), 3);
    // The tuck is cut in along its crease at both ends, where the dust flaps catch it.
    pen_.Crease(At(left + slit, depth), At(right - slit, depth), 4);
    pen_.Cut({At(left, 0), At(left, depth), At(left + slit, depth)});
    pen_.Cut({At(right, 0), At(right, depth), At(right - slit, depth)});
    BlankPen::Points tongue{At(left + slit, depth), At(left + tuck_in, depth)};
    const auto rounded = Rounded({At(left + tuck_in, depth), At(left + tuck_in, depth + tuck),
                                  At(right - tuck_in, depth + tuck), At(right - tuck_in, depth)},
                                 std::min(10.0, 0.7 * tuck));
    tongue.insert(tongue.end(), rounded.begin(), rounded.end());
    tongue.push_back(At(right - slit, depth));
    pen_.Cut(std::move(tongue));
    // Towards the back on top, towards the front below: on the back wall's lid and the front wall's that is upside down.
    const Vector2d up(0, wall == 0 ? 1 : -1);
    const double middle = (left + right) / 2;
    pen_.Name(NameOf(""), At(middle, depth / 2), up);
    pen_.Name(NameOf("tuck_"), At(middle, depth + tuck / 2), Vector2d(0, bottom_ ? 1 : -1));
  }

  void DrawDustFlap(size_t wall, bool tuck_on_right) {
    const double t = size_.t, by_lid = 0.7 * t + 0.3, by_tuck = 1.8 * t + 0.4;
    const double left = walls_.x[wall] + (tuck_on_right ? by_lid : by_tuck);
    const double right = walls_.x[wall + 1] - (tuck_on_right ? by_tuck : by_lid);
    const double depth = std::min(size_.b, size_.l / 2) - 1, width = right - left;
    const double relief = std::min({8.0, width / 4, depth / 2}), start = std::min(3.0, depth / 4);
    const double taper = std::min(depth * kGlueTaper, width / 4);
    // From the lid's side around to the tuck's, where the corner is cut away at 45 degrees.
    const double from = tuck_on_right ? left : right, to = tuck_on_right ? right : left;
    const double in = tuck_on_right ? 1 : -1;
    pen_.Cut({At(from, 0), At(from + in * taper, depth), At(to - in * relief, depth),
              At(to - in * relief, start + relief), At(to, start), At(to, 0)});
    pen_.Cut({At(walls_.x[wall], 0), At(left, 0)});
    pen_.Cut({At(right, 0), At(walls_.x[wall + 1], 0)});
    pen_.Crease(At(left, 0), At(right, 0), 2);
    const double up = (wall == 1) == bottom_ ? 1 : -1;
    pen_.Name(NameOf("dust_") + (wall == 1 ? "_left" : "_right"), At((left + right) / 2, depth / 2),
              {up, 0});
  }

  BlankPen& pen_;
  const BlankSize& size_;
  const Walls& walls_;
  bool bottom_;
};

}  // namespace

DielineDrawing DrawTuck(const BlankSize& size, bool reverse) {
  BlankPen pen;
  const Walls walls =
      DrawTube(pen, size, size.h + 4 * size.t - size.q(), std::min(4 * size.t + 1, size.h / 6));
  EndPen(pen, size, walls, false).DrawEnd(0);
  EndPen(pen, size, walls, true).DrawEnd(reverse ? 2 : 0);
  return pen.Take();
}

DielineDrawing DrawSleeve(const BlankSize& size) {
  BlankPen pen;
  const Walls walls = DrawTube(pen, size, size.h, 0.5);
  for (const double y : {0.0, walls.height}) pen.Cut({{walls.x[0], y}, {walls.x[4], y}});
  return pen.Take();
}

}  // namespace wheatpaste
