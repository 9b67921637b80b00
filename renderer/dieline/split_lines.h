// split_lines.h - the lines of a dieline cut where they meet, as a plane graph.
//
// Model   a crease that ends in the open is first drawn on, straight, to the next line within kCreaseReachMm: many drawings let
//         creases stop short of the cut. Then lines are split where they cross or where one ends on another, and ends
//         nearer than kJoinMm become one point. Where a cut and a crease cover each other, the cut counts.
// Units   mm of the flat; points are rounded to kFlatGridMm, so that equal places have equal bits.
// Limits  at most kMostDielinePieces straight pieces, before and after.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "dieline/dieline.h"

namespace wheatpaste {

inline constexpr double kJoinMm = 0.05;
inline constexpr double kCreaseReachMm = 2.0;
inline constexpr double kFlatGridMm = 1e-4;
inline constexpr size_t kMostDielinePieces = 20000;

struct FlatEdge {
  std::array<int, 2> ends{};  // indices into FlatGraph::points, the lower first
  bool cut = true;
  std::optional<double> angle;
  std::optional<int> order;
};

struct FlatGraph {
  std::vector<Eigen::Vector2d> points;
  std::vector<FlatEdge> edges;  // no two have the same ends
};

// returns  nothing where there are too many pieces.
std::optional<FlatGraph> SplitLines(const std::vector<DielineLine>& lines);

}  // namespace wheatpaste
