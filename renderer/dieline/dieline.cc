#include "dieline/dieline.h"

#include <algorithm>

namespace wheatpaste {

int FindPanel(const Dieline& dieline, const std::string& name) {
  for (size_t i = 0; i < dieline.panels.size(); ++i) {
    if (dieline.panels[i].name == name) return static_cast<int>(i);
  }
  return -1;
}

double SignedArea(const FlatOutline& outline) {
  double twice = 0;
  for (size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d &a = outline[i], &b = outline[(i + 1) % outline.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return twice / 2;
}

bool IsInside(const FlatOutline& outline, const Eigen::Vector2d& point) {
  bool inside = false;
  for (size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d &a = outline[i], &b = outline[(i + 1) % outline.size()];
    if ((a.y() > point.y()) == (b.y() > point.y())) continue;
    const double x = a.x() + (point.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x());
    if (point.x() < x) inside = !inside;
  }
  return inside;
}

bool IsInside(const DielinePanel& panel, const Eigen::Vector2d& point) {
  if (!IsInside(panel.outline, point)) return false;
  return std::none_of(panel.holes.begin(), panel.holes.end(),
                      [&](const FlatOutline& hole) { return IsInside(hole, point); });
}

double DistanceToLine(const Eigen::Vector2d& point, const Eigen::Vector2d& from,
                      const Eigen::Vector2d& to) {
  const Eigen::Vector2d along = to - from;
  const double length2 = along.squaredNorm();
  const double at = length2 > 0 ? std::clamp((point - from).dot(along) / length2, 0.0, 1.0) : 0;
  return (point - from - at * along).norm();
}

}  // namespace wheatpaste
