#include "dieline/check_fold.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "dieline/stack_layers.h"

namespace wheatpaste {
namespace {

using Eigen::Isometry3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

double DistanceToEdges(const DielinePanel& panel, const Vector2d& point) {
  double nearest = std::numeric_limits<double>::infinity();
  ForEdges(panel, [&](const Vector2d& a, const Vector2d& b) {
    nearest = std::min(nearest, DistanceToLine(point, a, b));
  });
  return nearest;
}

Vector2d FlatOf(const Vector3d& at) { return {at.x(), -at.y()}; }

struct Span {
  double from, to;
};

// Where a line of the panel's plane runs in the panel, by its parameter.
std::vector<Span> Spans(const DielinePanel& panel, const Vector2d& origin, const Vector2d& along) {
  const Vector2d across(-along.y(), along.x());
  std::vector<double> cuts;
  ForEdges(panel, [&](const Vector2d& a, const Vector2d& b) {
    const double da = (a - origin).dot(across), db = (b - origin).dot(across);
    if ((da > 0) == (db > 0)) return;
    cuts.push_back((a + da / (da - db) * (b - a) - origin).dot(along));
  });
  std::sort(cuts.begin(), cuts.end());
  std::vector<Span> spans;
  for (size_t i = 0; i + 1 < cuts.size(); i += 2) spans.push_back({cuts[i], cuts[i + 1]});
  return spans;
}

// Do the middles of both boards cross, deep in both?
bool GoesThrough(const DielinePanel& a, const DielinePanel& b, const Isometry3d& pose_a,
                 const Isometry3d& pose_b, double board) {
  const Vector3d half(0, 0, -board / 2);
  const Isometry3d a_middle = pose_a * Eigen::Translation3d(half),
                   b_middle = pose_b * Eigen::Translation3d(half);
  const Vector3d na = a_middle.linear().col(2), nb = b_middle.linear().col(2);
  const Vector3d along = na.cross(nb);
  constexpr double kParallel = 0.02;
  if (along.norm() < kParallel) return false;
  const Vector3d direction = along.normalized();
  // A point of both planes.
  Eigen::Matrix3d planes;
  planes << na.transpose(), nb.transpose(), direction.transpose();
  const Vector3d origin =
      planes.inverse() * Vector3d(na.dot(a_middle.translation()), nb.dot(b_middle.translation()),
                                  direction.dot(a_middle.translation()));
  const auto in = [&](const Isometry3d& pose) {
    const Isometry3d inverse = pose.inverse();
    const Vector3d d = inverse.linear() * direction;
    return std::pair(FlatOf(inverse * origin), Vector2d(d.x(), -d.y()));
  };
  const auto [origin_a, along_a] = in(a_middle);
  const auto [origin_b, along_b] = in(b_middle);
  for (const Span& p : Spans(a, origin_a, along_a)) {
    for (const Span& q : Spans(b, origin_b, along_b)) {
      const double from = std::max(p.from, q.from), to = std::min(p.to, q.to);
      constexpr int kSamples = 32;
      for (int i = 0; i < kSamples && to > from; ++i) {
        const double t = from + (i + 0.5) / kSamples * (to - from);
        if (DistanceToEdges(a, origin_a + t * along_a) > board &&
            DistanceToEdges(b, origin_b + t * along_b) > board) {
          return true;
        }
      }
    }
  }
  return false;
}

}  // namespace

std::vector<PanelClash> FindClashes(const FoldPlan& plan, const std::vector<Isometry3d>& poses) {
  const auto& panels = plan.dieline.panels;
  std::vector<PanelClash> clashes;
  constexpr double kWithin = 0.9;
  for (const CoveringPair& pair : FindCoveringPairs(plan, poses, plan.board)) {
    if (pair.apart < kWithin * plan.board) clashes.push_back({pair.inner, pair.outer, true});
  }
  for (size_t i = 0; i < panels.size(); ++i) {
    for (size_t j = i + 1; j < panels.size(); ++j) {
      if (GoesThrough(panels[i], panels[j], poses[i], poses[j], plan.board)) {
        clashes.push_back({static_cast<int>(i), static_cast<int>(j), false});
      }
    }
  }
  return clashes;
}

double LargestGap(const FoldPlan& plan, const std::vector<Isometry3d>& poses, int panel) {
  const auto& panels = plan.dieline.panels;
  const auto on_crease = [&](const Vector2d& point) {
    return std::any_of(plan.dieline.creases.begin(), plan.dieline.creases.end(), [&](auto& crease) {
      return DistanceToLine(point, crease.from, crease.to) < 0.01;
    });
  };
  double largest = 0;
  const auto own = static_cast<size_t>(panel);
  ForEdges(panels[own], [&](const Vector2d& a, const Vector2d& b) {
    const int pieces = std::max(1, static_cast<int>((b - a).norm() / 4));
    for (int i = 0; i < pieces; ++i) {
      const Vector2d point = a + (i + 0.5) / pieces * (b - a);
      if (on_crease(point)) continue;
      const Vector3d at = poses[own] * Vector3d(point.x(), -point.y(), 0);
      double nearest = std::numeric_limits<double>::infinity();
      for (size_t p = 0; p < panels.size(); ++p) {
        if (p == own) continue;
        const Vector3d seen = poses[p].inverse() * at;
        const double beside =
            IsInside(panels[p], FlatOf(seen)) ? 0 : DistanceToEdges(panels[p], FlatOf(seen));
        nearest = std::min(nearest, std::hypot(beside, seen.z()));
      }
      largest = std::max(largest, nearest);
    }
  });
  return largest;
}

std::vector<std::string> WarningsOf(const FoldPlan& plan, const std::vector<PanelClash>& clashes) {
  const auto name = [&](int panel) -> const std::string& {
    return plan.dieline.panels[static_cast<size_t>(panel)].name;
  };
  std::vector<std::string> warnings;
  for (const PanelClash& clash : clashes) {
    warnings.push_back(fmt::format("folded, the panels {} and {} {}", name(clash.a), name(clash.b),
                                   clash.within ? "lie in each other" : "go through each other"));
  }
  return warnings;
}

}  // namespace wheatpaste
