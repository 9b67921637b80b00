#include "dieline/panel_cells.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {

using Eigen::Vector2d;

namespace {

// Nearer than this to a line lies on it.
constexpr double kOnLineMm = 1e-7;

void Append(FlatOutline& outline, const Vector2d& point) {
  if (outline.empty() || (outline.back() - point).norm() > kOnLineMm) outline.push_back(point);
}

FlatOutline Tidied(FlatOutline outline) {
  while (outline.size() > 1 && (outline.front() - outline.back()).norm() <= kOnLineMm) {
    outline.pop_back();
  }
  if (outline.size() < 3) outline.clear();
  return outline;
}

}  // namespace

std::vector<FlatOutline> Trapezoids(const DielinePanel& panel) {
  std::vector<double> heights;
  ForEdges(panel, [&](const Vector2d& a, const Vector2d&) { heights.push_back(a.y()); });
  std::sort(heights.begin(), heights.end());
  heights.erase(std::unique(heights.begin(), heights.end(),
                            [](double a, double b) { return b - a < kOnLineMm; }),
                heights.end());
  struct Side {
    double top, bottom;  // x at both heights of the slab
  };
  std::vector<FlatOutline> cells;
  for (size_t i = 0; i + 1 < heights.size(); ++i) {
    const double y0 = heights[i], y1 = heights[i + 1], middle = (y0 + y1) / 2;
    std::vector<Side> sides;
    ForEdges(panel, [&](const Vector2d& a, const Vector2d& b) {
      if ((a.y() > middle) == (b.y() > middle)) return;
      const auto x = [&](double y) {
        // Ends are taken as they are, so that neighbours share them to the bit.
        if (std::abs(y - a.y()) < kOnLineMm) return a.x();
        if (std::abs(y - b.y()) < kOnLineMm) return b.x();
        return a.x() + (y - a.y()) / (b.y() - a.y()) * (b.x() - a.x());
      };
      sides.push_back({x(y0), x(y1)});
    });
    std::sort(sides.begin(), sides.end(),
              [](const Side& a, const Side& b) { return a.top + a.bottom < b.top + b.bottom; });
    for (size_t s = 0; s + 1 < sides.size(); s += 2) {
      const Side &left = sides[s], &right = sides[s + 1];
      FlatOutline cell;
      Append(cell, {left.top, y0});
      Append(cell, {right.top, y0});
      Append(cell, {right.bottom, y1});
      Append(cell, {left.bottom, y1});
      cell = Tidied(std::move(cell));
      if (!cell.empty()) cells.push_back(std::move(cell));
    }
  }
  return cells;
}

std::pair<FlatOutline, FlatOutline> SplitConvex(const FlatOutline& convex,
                                                const Vector2d& direction, double at) {
  FlatOutline below, above;
  for (size_t i = 0; i < convex.size(); ++i) {
    const Vector2d &a = convex[i], &b = convex[(i + 1) % convex.size()];
    const double da = direction.dot(a) - at, db = direction.dot(b) - at;
    if (da <= kOnLineMm) Append(below, a);
    if (da >= -kOnLineMm) Append(above, a);
    if ((da < -kOnLineMm && db > kOnLineMm) || (da > kOnLineMm && db < -kOnLineMm)) {
      const Vector2d cross = a + da / (da - db) * (b - a);
      Append(below, cross);
      Append(above, cross);
    }
  }
  return {Tidied(std::move(below)), Tidied(std::move(above))};
}

std::vector<Vector2d> InnerPoints(const DielinePanel& panel, double margin, int count) {
  Vector2d low = panel.outline.front(), high = low;
  for (const Vector2d& p : panel.outline) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  std::vector<Vector2d> points;
  for (int j = 0; j < count; ++j) {
    for (int i = 0; i < count; ++i) {
      const Vector2d p(low.x() + (i + 0.5) / count * (high.x() - low.x()),
                       low.y() + (j + 0.5) / count * (high.y() - low.y()));
      if (!IsInside(panel, p)) continue;
      bool deep = true;
      ForEdges(panel, [&](const Vector2d& a, const Vector2d& b) {
        deep = deep && DistanceToLine(p, a, b) > margin;
      });
      if (deep) points.push_back(p);
    }
  }
  return points;
}

}  // namespace wheatpaste
