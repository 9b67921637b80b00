// check_fold.h - does a closed carton hold together: what goes through what, and how far gaps are open.
//
// Through  the middles of two boards (half a thickness under the outside) cross, and both reach farther than the thickness beyond the
//          crossing on every side of it: touching edges and tips of flaps do not count.
// Within   two panels face the same way, cover each other and are less than 0.9 thicknesses apart.
// Gap      of a cut edge of a panel: how far its farthest point is from the nearest other panel's board (its outside).
// Source   derived here: tests/dieline/fold_test.cc.
#pragma once

#include <string>
#include <vector>

#include "dieline/fold.h"

namespace wheatpaste {

struct PanelClash {
  int a = 0, b = 0;
  bool within = false;  // else through
};

std::vector<PanelClash> FindClashes(const FoldPlan& plan,
                                    const std::vector<Eigen::Isometry3d>& poses);

// mm; over all edges of the panel that no crease is on.
double LargestGap(const FoldPlan& plan, const std::vector<Eigen::Isometry3d>& poses, int panel);

// One plain sentence each.
std::vector<std::string> WarningsOf(const FoldPlan& plan, const std::vector<PanelClash>& clashes);

}  // namespace wheatpaste
