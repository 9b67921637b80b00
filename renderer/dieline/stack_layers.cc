#include "dieline/stack_layers.h"

#include <algorithm>
#include <cmath>

#include "dieline/panel_cells.h"

namespace wheatpaste {
namespace {

using Eigen::Isometry3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr int kSamples = 24;        // across a panel
constexpr double kSameWay = 0.999;  // cosine of 2.6 degrees
constexpr double kAlike = 0.02;     // of areas

Vector3d FlatOf(const Vector2d& p) { return {p.x(), -p.y(), 0}; }

// Where along the plan the panel folds; the root before all.
int OrderOf(const FoldPlan& plan, int panel) {
  const int hinge = plan.hinge_of[static_cast<size_t>(panel)];
  return hinge < 0 ? 0 : plan.hinges[static_cast<size_t>(hinge)].order;
}

bool IsInner(const FoldPlan& plan, int a, int b) {
  const DielinePanel &p = plan.dieline.panels[static_cast<size_t>(a)],
                     &q = plan.dieline.panels[static_cast<size_t>(b)];
  if (p.glued != q.glued) return p.glued;
  if (std::abs(p.area - q.area) > kAlike * std::max(p.area, q.area)) return p.area < q.area;
  if (OrderOf(plan, a) != OrderOf(plan, b)) return OrderOf(plan, a) < OrderOf(plan, b);
  return a < b;
}

// mm that a mm of inset takes the panel inwards: the sine of its fold; 0 of the root.
double InwardsPerInset(const FoldPlan& plan, int panel) {
  const int hinge = plan.hinge_of[static_cast<size_t>(panel)];
  return hinge < 0 ? 0 : std::sin(plan.hinges[static_cast<size_t>(hinge)].angle);
}

}  // namespace

std::vector<CoveringPair> FindCoveringPairs(const FoldPlan& plan,
                                            const std::vector<Isometry3d>& poses, double reach) {
  const auto& panels = plan.dieline.panels;
  const double margin = 2 * plan.board;
  // Wherever a glue flap comes to lie, its wall goes over it.
  const double glue_reach = std::max(reach, 4 * plan.board + 1);
  std::vector<std::vector<Vector2d>> samples;
  for (const DielinePanel& panel : panels) samples.push_back(InnerPoints(panel, margin, kSamples));
  std::vector<CoveringPair> pairs;
  for (size_t i = 0; i < panels.size(); ++i) {
    for (size_t j = 0; j < panels.size(); ++j) {
      if (i == j || !IsInner(plan, static_cast<int>(i), static_cast<int>(j))) continue;
      const Vector3d normal = poses[j].linear().col(2);
      if (poses[i].linear().col(2).dot(normal) < kSameWay) continue;
      const Isometry3d outer_from_inner = poses[j].inverse() * poses[i];
      const Isometry3d inner_from_outer = outer_from_inner.inverse();
      const double own_reach = panels[i].glued ? glue_reach : reach;
      // The inner's points may all lie beside the outer where that is a strip, and the other way round.
      double apart = 0;
      bool covers = false;
      for (const Vector2d& sample : samples[i]) {
        const Vector3d at = outer_from_inner * FlatOf(sample);
        if (std::abs(at.z()) >= own_reach || !IsInside(panels[j], {at.x(), -at.y()})) continue;
        covers = true;
        apart = -at.z();
        break;
      }
      for (const Vector2d& sample : samples[j]) {
        if (covers) break;
        const Vector3d at = inner_from_outer * FlatOf(sample);
        if (std::abs(at.z()) >= own_reach || !IsInside(panels[i], {at.x(), -at.y()})) continue;
        covers = true;
        apart = at.z();
      }
      if (covers) pairs.push_back({static_cast<int>(i), static_cast<int>(j), apart});
    }
  }
  return pairs;
}

void StackLayers(FoldPlan& plan) {
  constexpr int kMostRounds = 64;
  const double wanted = plan.board + kLayerPlayMm;
  for (int round = 0; round < kMostRounds; ++round) {
    const auto pairs = FindCoveringPairs(plan, PosesAt(plan, AnglesAt(plan, 1)), plan.board);
    bool moved = false;
    for (const CoveringPair& pair : pairs) {
      if (pair.apart >= wanted - kLayerPlayMm / 2) continue;
      // The root stays where it is: then what covers it goes outwards.
      const bool inner_moves = pair.inner != plan.root;
      const int mover = inner_moves ? pair.inner : pair.outer;
      const double share = InwardsPerInset(plan, mover);
      constexpr double kLeastShare = 0.3;
      if (share < kLeastShare) continue;
      Hinge& hinge = plan.hinges[static_cast<size_t>(plan.hinge_of[static_cast<size_t>(mover)])];
      const double by = (wanted - pair.apart) / share;
      hinge.inset += inner_moves ? by : -by;
      moved = true;
      break;  // what moved may have freed or covered others
    }
    if (!moved) return;
  }
}

}  // namespace wheatpaste
