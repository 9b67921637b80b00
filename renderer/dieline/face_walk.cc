#include "dieline/face_walk.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace wheatpaste {

using Eigen::Vector2d;

FaceWalk::FaceWalk(FlatGraph graph) : graph_(std::move(graph)), used_(graph_.edges.size(), true) {
  Prune();
  Link();
  FindCycles();
}

// Takes away what ends in the open, again and again.
void FaceWalk::Prune() {
  std::vector<std::vector<int>> edges_at(graph_.points.size());
  for (size_t e = 0; e < graph_.edges.size(); ++e) {
    for (const int end : graph_.edges[e].ends) {
      edges_at[static_cast<size_t>(end)].push_back(static_cast<int>(e));
    }
  }
  std::vector<int> degree(graph_.points.size());
  std::vector<int> loose;
  for (size_t v = 0; v < degree.size(); ++v) {
    degree[v] = static_cast<int>(edges_at[v].size());
    if (degree[v] == 1) {
      loose.push_back(static_cast<int>(v));
      const FlatEdge& edge = graph_.edges[static_cast<size_t>(edges_at[v][0])];
      (edge.cut ? loose_cuts_ : loose_creases_).push_back(graph_.points[v]);
    }
  }
  while (!loose.empty()) {
    const int v = loose.back();
    loose.pop_back();
    for (const int e : edges_at[static_cast<size_t>(v)]) {
      if (!used_[static_cast<size_t>(e)]) continue;
      used_[static_cast<size_t>(e)] = false;
      const auto& ends = graph_.edges[static_cast<size_t>(e)].ends;
      const int other = ends[0] == v ? ends[1] : ends[0];
      if (--degree[static_cast<size_t>(other)] == 1) loose.push_back(other);
    }
  }
}

void FaceWalk::Link() {
  std::vector<std::vector<int>> outgoing(graph_.points.size());
  for (size_t e = 0; e < graph_.edges.size(); ++e) {
    if (!used_[e]) continue;
    for (int side = 0; side < 2; ++side) {
      const int half = static_cast<int>(2 * e) + side;
      outgoing[static_cast<size_t>(From(half))].push_back(half);
    }
  }
  next_.assign(2 * graph_.edges.size(), -1);
  for (auto& halves : outgoing) {
    const auto angle = [&](int half) {
      const Vector2d d = PointOf(From(half ^ 1)) - PointOf(From(half));
      return std::atan2(d.y(), d.x());
    };
    std::sort(halves.begin(), halves.end(), [&](int a, int b) { return angle(a) < angle(b); });
    for (size_t i = 0; i < halves.size(); ++i) {
      next_[static_cast<size_t>(halves[i] ^ 1)] = halves[(i + halves.size() - 1) % halves.size()];
    }
  }
}

void FaceWalk::FindCycles() {
  cycle_of_.assign(next_.size(), -1);
  for (size_t start = 0; start < next_.size(); ++start) {
    if (next_[start] < 0 || cycle_of_[start] >= 0) continue;
    FlatCycle cycle;
    for (int half = static_cast<int>(start); cycle_of_[static_cast<size_t>(half)] < 0;
         half = next_[static_cast<size_t>(half)]) {
      cycle_of_[static_cast<size_t>(half)] = static_cast<int>(cycles_.size());
      cycle.points.push_back(PointOf(From(half)));
      cycle.edges.push_back(half / 2);
    }
    cycle.area = SignedArea(cycle.points);
    cycles_.push_back(std::move(cycle));
  }
}

}  // namespace wheatpaste
