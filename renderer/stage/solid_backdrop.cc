// solid_backdrop.cc - wall, floor and sweep: what stands behind and under things.
#include <cmath>
#include <numbers>

#include "stage/solid_builder.h"
#include "stage/solids.h"

namespace wheatpaste {
namespace {

constexpr int kCurveRows = 96;

// A sheet `width` mm wide that hangs along a line of points (y, z) from its top, `along` mm down to each.
struct RollPoint {
  double y, z, along;
  Eigen::Vector2d normal;  // y, z
};

Solid BuildRoll(const std::vector<RollPoint>& points, double width) {
  SolidBuilder builder;
  SolidGrid grid(static_cast<int>(points.size()), 2);
  for (int r = 0; r < grid.row_count; ++r) {
    const RollPoint& point = points[static_cast<size_t>(r)];
    for (int c = 0; c < 2; ++c) {
      grid.At(r, c) = {{(c - 0.5) * width, point.y, point.z},
                       {0, point.normal.x(), point.normal.y()},
                       {c * width, -point.along},
                       {c * width, point.along}};
    }
  }
  const int32_t chart = builder.AddChart();
  builder.AddGrid(grid, builder.Part("body"), chart);
  builder.AddFace("", {chart}, {0, 0}, {width, points.back().along});
  return builder.Finish();
}

}  // namespace

Solid BuildSolid(const WallSolid& wall) {
  return BuildRoll({{wall.size[1], 0, 0, {0, 1}}, {0, 0, wall.size[1], {0, 1}}}, wall.size[0]);
}

Solid BuildSolid(const FloorSolid& floor) {
  const double depth = floor.size[1];
  return BuildRoll({{0, -depth / 2, 0, {1, 0}}, {0, depth / 2, depth, {1, 0}}}, floor.size[0]);
}

Solid BuildSolid(const SweepSolid& sweep) {
  const auto [width, height, depth] = sweep.size;
  const double radius = std::min({sweep.radius, height, depth});
  const double back = -depth / 2, wall = height - radius, curve = radius * std::numbers::pi / 2;
  std::vector<RollPoint> points;
  if (wall > 0) points.push_back({height, back, 0, {0, 1}});
  for (int i = 0; i <= kCurveRows; ++i) {
    const double share = static_cast<double>(i) / kCurveRows;
    const double angle = share * std::numbers::pi / 2;
    const double s = std::sin(angle), c = i == kCurveRows ? 0 : std::cos(angle);
    points.push_back({radius * (1 - s), back + radius * (1 - c), wall + share * curve, {s, c}});
  }
  if (depth > radius) points.push_back({0, depth / 2, wall + curve + depth - radius, {1, 0}});
  Solid solid = BuildRoll(points, width);
  if (radius < sweep.radius) {
    solid.warnings.push_back("a sweep's curve cannot be larger than its height or depth");
  }
  return solid;
}

}  // namespace wheatpaste
