// fold.h - where the panels of a blank go as it is folded.
//
// Model   the outside of the board is what keeps its lengths. A crease folded by theta is an arc of radius r on the outside, r theta
//         long, half of it taken from each panel: v mm beyond the crease (into the child) and h above the outside lie at
//           u = v + inset, a = r |theta| / 2, s = sign of theta, phi = clamp((u + a) / r, 0, |theta|)
//           C = -(a + inset) n - s r N
//           C + (r + s h)(s cos phi N + sin phi n) + rest (cos phi n - s sin phi N), rest = u + a - r phi
//         n in the flat from parent to child, N its outside. So faces that a right angle joins stand w + 2 (1 - pi / 4) r apart outside where
//         the creases are w apart. r = kRadiusPerBoard t, less where a panel is too narrow for it.
// Inset   how far a crease folds before its line, on the parent's side, so that the child lies within what covers it: a glue
//         flap under its wall, dust flaps under a lid. Found so that layers lie beside each other (stack_layers.h).
// Tree    its root is the panel "front", else the largest; it stays in the plane z = 0, upright.
// Order   creases that bend the wall around (along the root's upright) fold first, then what hangs on the walls, then what hangs on
//         that; where the drawing numbers creases, by their numbers. `closed` runs through the numbers, one after the other.
// Axes    object mm of geometry/solid.h; flat mm (x, y) lie at (x, -y, 0) before folding, the outside towards +z.
// Source  derived here: tests/dieline/fold_test.cc.
#pragma once

#include <optional>
#include <vector>

#include <Eigen/Geometry>

#include "dieline/dieline.h"

namespace wheatpaste {

inline constexpr double kRadiusPerBoard = 1.5;
inline constexpr double kValleyRadiusPerBoard = 0.5;  // of the outside, within a valley

struct Hinge {
  int parent = 0, child = 0;
  Eigen::Vector3d origin{0, 0, 0}, along{1, 0, 0},
      out{0, 1, 0};  // of the crease, before folding; n = out
  double length = 0;
  double angle = 0;   // closed, radians
  double radius = 0;  // of the outside
  double inset = 0;
  int order = 0;
  bool lid = false;  // opens by CartonSolid::lid

  // Place and outside's normal, in the parent's frame before it is folded.
  Eigen::Vector3d At(double angle_rad, double along_mm, double beyond, double height) const;
  Eigen::Vector3d NormalAt(double angle_rad, double beyond) const;
  // Where the child goes.
  Eigen::Isometry3d Fold(double angle_rad) const;
  // How far beyond its line the bend reaches on the child's side, and on the parent's.
  double ReachOut(double angle_rad) const { return radius * std::abs(angle_rad) / 2 - inset; }
  double ReachIn(double angle_rad) const { return radius * std::abs(angle_rad) / 2 + inset; }
};

struct FoldPlan {
  Dieline dieline;
  double board = 0;
  int root = 0;
  std::vector<Hinge> hinges;  // parents before their children
  std::vector<int> hinge_of;  // of each panel the one it hangs on; -1 of the root
};

FoldPlan PlanFold(Dieline dieline, double board_mm);

// Radians of each hinge.
// closed  0 to 1.
// lid     degrees of the creases that a lid hangs on, in place of theirs.
std::vector<double> AnglesAt(const FoldPlan& plan, double closed,
                             std::optional<double> lid = std::nullopt);

// Of each panel: object mm from (x, -y, height above the outside).
std::vector<Eigen::Isometry3d> PosesAt(const FoldPlan& plan, const std::vector<double>& angles);

}  // namespace wheatpaste
