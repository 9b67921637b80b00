// join_points.h - gives points of the plane that are nearer than a distance one number.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <vector>

#include <Eigen/Core>

namespace wheatpaste {

class PointJoiner {
 public:
  explicit PointJoiner(double distance) : distance_(distance) {}

  // The first point given that is no farther than the distance, else this one is new.
  int IndexOf(const Eigen::Vector2d& point) {
    const auto x = static_cast<int64_t>(std::floor(point.x() / distance_));
    const auto y = static_cast<int64_t>(std::floor(point.y() / distance_));
    for (int64_t i = x - 1; i <= x + 1; ++i) {
      for (int64_t j = y - 1; j <= y + 1; ++j) {
        const auto found = cells_.find({i, j});
        if (found == cells_.end()) continue;
        for (const int index : found->second) {
          if ((points_[static_cast<size_t>(index)] - point).norm() <= distance_) return index;
        }
      }
    }
    cells_[{x, y}].push_back(static_cast<int>(points_.size()));
    points_.push_back(point);
    return static_cast<int>(points_.size()) - 1;
  }
  const std::vector<Eigen::Vector2d>& points() const { return points_; }

 private:
  double distance_;
  std::map<std::array<int64_t, 2>, std::vector<int>> cells_;
  std::vector<Eigen::Vector2d> points_;
};

}  // namespace wheatpaste
