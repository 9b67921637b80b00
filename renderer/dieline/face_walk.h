// face_walk.h - the faces of a plane graph, walked along its edges.
//
// Model   edges that lead nowhere are taken away first. Half-edge 2e runs from ends[0] to ends[1] of edge e, 2e + 1 back; at each point the
//         next edge clockwise follows, so faces lie on one side of their walk and get a positive area, the outside of whatever
//         hangs together a negative one.
// Source  the half-edge walk of textbooks; tests/dieline/find_panels_test.cc.
#pragma once

#include <vector>

#include "dieline/split_lines.h"

namespace wheatpaste {

struct FlatCycle {
  FlatOutline points;
  std::vector<int> edges;
  double area = 0;
};

class FaceWalk {
 public:
  explicit FaceWalk(FlatGraph graph);

  const FlatGraph& graph() const { return graph_; }
  const std::vector<FlatCycle>& cycles() const { return cycles_; }
  // Points where a line ended in the open.
  const std::vector<Eigen::Vector2d>& loose_cuts() const { return loose_cuts_; }
  const std::vector<Eigen::Vector2d>& loose_creases() const { return loose_creases_; }
  // Of a half-edge; -1: its edge leads nowhere.
  int cycle_of(int half_edge) const { return cycle_of_[static_cast<size_t>(half_edge)]; }

 private:
  void Prune();
  void Link();
  void FindCycles();
  int From(int half) const {
    return graph_.edges[static_cast<size_t>(half / 2)].ends[static_cast<size_t>(half % 2)];
  }
  const Eigen::Vector2d& PointOf(int index) const {
    return graph_.points[static_cast<size_t>(index)];
  }

  FlatGraph graph_;
  std::vector<bool> used_;
  std::vector<int> next_, cycle_of_;
  std::vector<FlatCycle> cycles_;
  std::vector<Eigen::Vector2d> loose_cuts_, loose_creases_;
};

}  // namespace wheatpaste
