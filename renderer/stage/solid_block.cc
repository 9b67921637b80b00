// solid_block.cc - boards, steps and shelves with rounded edges.
//
// Model   a point of a face is a point of the inner box plus the edge radius times a unit normal
//             n = (tan a, tan b, 1) / |.|,   a, b in [-45, 45] degrees,
//         a = 0 on the flat, growing as the arc over a rounded edge, so that the faces' halves of an edge meet at 45 degrees and the
//         ball of a corner is cut into the three faces' parts.
// Source  derived here; solid_block_test.cc checks watertightness and lengths.
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "stage/solid_builder.h"
#include "stage/solids.h"

namespace wheatpaste {
namespace {

constexpr int kEdgePieces = 6;  // of half an edge
constexpr double kGapMm = 10;   // between faces on the sheet

struct Step {
  double core;   // on the inner box, from its middle
  double slope;  // tan a
  double along;  // on the face, from its edge
};

std::vector<Step> StepsOf(double size, double edge) {
  const double half = size / 2 - edge, arc = edge * std::numbers::pi / 4;
  std::vector<Step> steps;
  if (edge > 0) {
    for (int i = kEdgePieces; i > 0; --i) {
      const double share = static_cast<double>(i) / kEdgePieces;
      const double slope = i == kEdgePieces ? 1 : std::tan(share * std::numbers::pi / 4);
      steps.push_back({-half, -slope, arc * (1 - share)});
    }
  }
  steps.push_back({-half, 0, arc});
  steps.push_back({half, 0, arc + 2 * half});
  if (edge > 0) {
    for (int i = 1; i <= kEdgePieces; ++i) {
      const double share = static_cast<double>(i) / kEdgePieces;
      const double slope = i == kEdgePieces ? 1 : std::tan(share * std::numbers::pi / 4);
      steps.push_back({half, slope, arc + 2 * half + arc * share});
    }
  }
  return steps;
}

}  // namespace

Solid BuildSolid(const BlockSolid& block) {
  SolidBuilder builder;
  const Eigen::Vector3d size(block.size[0], block.size[1], block.size[2]);
  const double edge = std::min(block.edge, size.minCoeff() / 2);
  if (edge < block.edge) builder.Warn("a block's edges cannot be rounder than half its thickness");
  struct Side {
    const char* name;
    Eigen::Vector3d right, down;
  };
  const Eigen::Vector3d x(1, 0, 0), y(0, 1, 0), z(0, 0, 1);
  const Side sides[] = {{"front", x, -y},  {"back", -x, -y}, {"left", z, -y},
                        {"right", -z, -y}, {"top", x, z},    {"bottom", x, -z}};
  const int32_t part = builder.Part("body");
  double left = 0;
  for (const Side& side : sides) {
    const Eigen::Vector3d out = side.right.cross(-side.down);
    const std::vector<Step> across = StepsOf(std::abs(size.dot(side.right)), edge);
    const std::vector<Step> down = StepsOf(std::abs(size.dot(side.down)), edge);
    const double depth = std::abs(size.dot(out)) / 2 - edge;
    SolidGrid grid(static_cast<int>(down.size()), static_cast<int>(across.size()));
    for (int r = 0; r < grid.row_count; ++r) {
      for (int c = 0; c < grid.column_count; ++c) {
        const Step &u = across[static_cast<size_t>(c)], &v = down[static_cast<size_t>(r)];
        SolidPoint& point = grid.At(r, c);
        point.normal = (u.slope * side.right + v.slope * side.down + out).normalized();
        point.at = u.core * side.right + v.core * side.down + depth * out + edge * point.normal;
        point.at.y() += size.y() / 2;
        point.texture_mm = {u.along, -v.along};
        point.sheet = {left + u.along, v.along};
      }
    }
    const int32_t chart = builder.AddChart();
    builder.AddGrid(grid, part, chart);
    builder.AddFace(side.name, {chart}, {left, 0}, {across.back().along, down.back().along});
    left += across.back().along + kGapMm;
  }
  return builder.Finish();
}

}  // namespace wheatpaste
