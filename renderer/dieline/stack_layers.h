// stack_layers.h - panels that cover each other in the closed carton, laid beside each other.
//
// Model   two panels whose outsides face the same way, and whose planes are less than a board's thickness apart where one covers
//         the other, would lie in each other. The inner one's crease is drawn in (Hinge::inset) until they lie beside each other.
//         Inner is: a glue flap; else the smaller; of equals what folds first.
// Source  derived here: tests/dieline/fold_test.cc.
#pragma once

#include <array>
#include <vector>

#include "dieline/fold.h"

namespace wheatpaste {

inline constexpr double kLayerPlayMm = 0.02;  // air between layers

// Two panels that face the same way in the closed carton and cover each other.
struct CoveringPair {
  int inner = 0, outer = 0;
  double apart =
      0;  // mm from the inner's outside to the outer's outside, outwards; a board's thickness: they touch
};

// Those no farther apart than `reach`; glue flaps and their walls from a little farther.
std::vector<CoveringPair> FindCoveringPairs(const FoldPlan& plan,
                                            const std::vector<Eigen::Isometry3d>& poses,
                                            double reach);

void StackLayers(FoldPlan& plan);

}  // namespace wheatpaste
