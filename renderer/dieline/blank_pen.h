// blank_pen.h - draws blanks: what the files of styles share.
#pragma once

#include <array>
#include <initializer_list>
#include <numbers>
#include <string>
#include <vector>

#include "dieline/dieline.h"
#include "dieline/fold.h"

namespace wheatpaste {

struct BlankSize {
  double l = 0, b = 0, h = 0;  // inner
  double t = 0;                // board
  // What two creases of a right angle add: faces stand w + q apart outside where creases are w apart (fold.h).
  double q() const { return 2 * (1 - std::numbers::pi / 4) * kRadiusPerBoard * t; }
};

class BlankPen {
 public:
  using Points = std::vector<Eigen::Vector2d>;

  void Cut(Points points);
  void Crease(const Eigen::Vector2d& from, const Eigen::Vector2d& to, int order);
  void Name(const std::string& name, const Eigen::Vector2d& at, const Eigen::Vector2d& up);
  void Glue(FlatOutline outline);

  // A flap with straight sides: cut from one end of its crease around to the other, which is drawn too.
  // from, to   the crease; the flap lies to the left of it as it is seen, from -> to.
  // depth      of the flap; slant: how far its far corners are drawn in; radius: of them.
  struct Flap {
    double depth = 0;
    std::array<double, 2> slant{};  // at `from`, at `to`
    double radius = 0;
    int order = 1;
  };
  void DrawFlap(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const Flap& flap,
                const std::string& name, const Eigen::Vector2d& up);

  // Moved onto its page.
  DielineDrawing Take();

 private:
  DielineDrawing drawing_;
};

// Corners of `points` that lie within become arcs of `radius`; its ends stay.
BlankPen::Points Rounded(const BlankPen::Points& points, double radius);

// Four walls side by side with a glue flap on their left: back, left, front, right from `widths`.
// height  of the walls, from y = 0 down. glue: how wide the flap is. corner: cut off it at its crease, at 45 degrees, so that it passes
//         what closes the ends; slant: how far it narrows from there.
struct Walls {
  std::array<double, 5> x{};  // the glue flap's crease, then each wall's right end
  double height = 0;
};
Walls DrawWalls(BlankPen& pen, const std::array<double, 4>& widths, double height, double glue,
                double corner, double slant);

DielineDrawing Draw0201(const BlankSize& size);
DielineDrawing Draw0427(const BlankSize& size);
DielineDrawing DrawTuck(const BlankSize& size, bool reverse);
DielineDrawing DrawSleeve(const BlankSize& size);

}  // namespace wheatpaste
