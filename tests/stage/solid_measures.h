// solid_measures.h - what tests ask of any solid.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include <Eigen/Geometry>

#include "geometry/solid.h"

namespace wheatpaste {

// Edges that no second triangle walks the other way: 0 of a closed solid; and those that two walk the same way.
struct EdgeCount {
  int64_t open = 0, twice = 0;
};
inline EdgeCount CountEdges(const Solid& solid) {
  std::map<std::pair<int32_t, int32_t>, int> edges;
  for (const SolidTriangle& t : solid.triangles) {
    for (size_t k = 0; k < 3; ++k) ++edges[{t.vertices[k], t.vertices[(k + 1) % 3]}];
  }
  EdgeCount count;
  for (const auto& [edge, times] : edges) {
    if (times > 1) ++count.twice;
    if (!edges.contains({edge.second, edge.first})) ++count.open;
  }
  return count;
}

// Largest | |n| - 1 | of all corners, and how many corners point behind their triangle.
struct NormalCount {
  double off_unit = 0;
  int64_t behind = 0;
};
inline NormalCount CheckNormals(const Solid& solid) {
  NormalCount count;
  for (const SolidTriangle& t : solid.triangles) {
    const auto at = [&](size_t k) { return solid.vertices[static_cast<size_t>(t.vertices[k])]; };
    const Eigen::Vector3d out = (at(1) - at(0)).cross(at(2) - at(0));
    for (const Eigen::Vector3d& normal : t.normals) {
      count.off_unit = std::max(count.off_unit, std::abs(normal.norm() - 1));
      if (!(normal.dot(out) > 0)) ++count.behind;
    }
  }
  return count;
}

// Lengths of a chart's triangles' edges over what the sheet says, and the area that lies mirrored on the sheet.
struct SheetCheck {
  double shortest = 1e9, longest = 0;
  double area = 0, mirrored_area = 0;  // on the sheet, mm^2
};
inline SheetCheck CheckSheet(const Solid& solid, int32_t chart) {
  SheetCheck check;
  for (const SolidTriangle& t : solid.triangles) {
    if (t.chart != chart) continue;
    for (size_t k = 0; k < 3; ++k) {
      const size_t n = (k + 1) % 3;
      const double there = (solid.vertices[static_cast<size_t>(t.vertices[k])] -
                            solid.vertices[static_cast<size_t>(t.vertices[n])])
                               .norm();
      const double flat = std::hypot(t.sheet[k].x - t.sheet[n].x, t.sheet[k].y - t.sheet[n].y);
      check.shortest = std::min(check.shortest, there / flat);
      check.longest = std::max(check.longest, there / flat);
    }
    const double twice = (t.sheet[1].x - t.sheet[0].x) * (t.sheet[2].y - t.sheet[0].y) -
                         (t.sheet[2].x - t.sheet[0].x) * (t.sheet[1].y - t.sheet[0].y);
    // y runs down, so what is counter-clockwise from the front is clockwise in the numbers.
    (twice < 0 ? check.area : check.mirrored_area) += std::abs(twice) / 2;
  }
  return check;
}

// The bounds of two charts on the sheet have no inside in common.
inline bool ChartsApart(const Solid& solid) {
  std::vector<Eigen::AlignedBox2d> bounds(static_cast<size_t>(solid.chart_count));
  for (const SolidTriangle& t : solid.triangles) {
    if (t.chart < 0) continue;
    for (const SurfaceMm& at : t.sheet) bounds[static_cast<size_t>(t.chart)].extend(at.vector());
  }
  for (size_t i = 0; i < bounds.size(); ++i) {
    for (size_t k = 0; k < i; ++k) {
      if (bounds[i].intersection(bounds[k]).sizes().minCoeff() > 0) return false;
    }
  }
  return true;
}

inline double VolumeOf(const Solid& solid) {
  double six = 0;
  for (const SolidTriangle& t : solid.triangles) {
    const auto at = [&](size_t k) { return solid.vertices[static_cast<size_t>(t.vertices[k])]; };
    six += at(0).dot(at(1).cross(at(2)));
  }
  return six / 6;
}

inline bool SameBits(const Solid& a, const Solid& b) {
  if (a.vertices != b.vertices || a.triangles.size() != b.triangles.size()) return false;
  for (size_t i = 0; i < a.triangles.size(); ++i) {
    const SolidTriangle &s = a.triangles[i], &t = b.triangles[i];
    if (s.vertices != t.vertices || s.normals != t.normals || s.texture_mm != t.texture_mm ||
        s.sheet != t.sheet || s.chart != t.chart || s.part != t.part) {
      return false;
    }
  }
  return true;
}

}  // namespace wheatpaste
