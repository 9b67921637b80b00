// tote_cloth.h - the canvas of a tote bag: panels sewn together, hung or stood up, come to rest.
//
// Axes    object mm. Panels as seen from outside: rows from the rim down, columns to the right; flat mm from the panel's top left.
// Sewn    front, right, back and left panel share the points of their edges, as does the bottom; without a gusset there are no side panels
//         and front and back share their lowest row.
// Levels  relaxed coarse, then finer from a smooth interpolation (Catmull-Rom, panel by panel, so that seams stay folds).
// Lengths along the threads, both ways, over 14 mm: within kToteStrain; half as much again of full bags and of those that stand;
//         next to where handles are sewn on more.
#pragma once

#include <array>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "scene/stage.h"

namespace wheatpaste {

inline constexpr double kToteStrain = 0.02;

struct TotePanel {
  std::string name;              // "front", "right", "back", "left", "bottom"
  double width = 0, height = 0;  // flat, mm
  int rows = 0, columns = 0;     // points
  std::vector<int32_t> points;   // row by row
  int32_t At(int row, int column) const {
    return points[static_cast<size_t>(row) * columns + column];
  }
};

struct ToteCloth {
  std::vector<TotePanel> panels;  // front and back first
  std::vector<Eigen::Vector3d> points;
};

// Where a handle is sewn on: the middle of its end at the rim, at rest.
struct ToteAnchor {
  Eigen::Vector3d at;  // on the canvas
  Eigen::Vector3d up;  // unit, along the handle
  double flat_x = 0;   // on the panel
};

struct ToteShape {
  ToteCloth cloth;
  std::array<std::array<ToteAnchor, 2>, 2>
      anchors;                              // front and back; left and right as that panel is seen
  double handle_width = 0, handle_end = 0;  // mm; how far its ends reach down from the rim
  double hem = 0;
};

// cell  wanted, mm, of the finest.
ToteShape HangTote(const ToteSolid& tote, double cell);

}  // namespace wheatpaste
