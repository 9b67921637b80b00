// panel_cells.h - a panel cut into convex pieces, so that each folds as one.
//
// Model   level slabs between the heights of all corners; within a slab the panel is trapezoids. Any outline, holes included.
// Units   mm of the flat. Pieces run as panels do (dieline.h).
#pragma once

#include <utility>
#include <vector>

#include "dieline/dieline.h"

namespace wheatpaste {

std::vector<FlatOutline> Trapezoids(const DielinePanel& panel);

// The pieces of a convex outline on both sides of a line: where direction . p is below `at`, and above. Either may be empty.
std::pair<FlatOutline, FlatOutline> SplitConvex(const FlatOutline& convex,
                                                const Eigen::Vector2d& direction, double at);

// Points in the panel, farther than `margin` from its edges: the middles of an even grid of `count` x `count` over its bounds.
std::vector<Eigen::Vector2d> InnerPoints(const DielinePanel& panel, double margin, int count);

}  // namespace wheatpaste
