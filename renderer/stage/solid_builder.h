// solid_builder.h - grids of points to the triangles, charts and faces of a solid.
//
// Front   a grid is seen from its front when its rows go down and its columns to the right.
// Joins   points of different grids within kWeldMm of one another become one vertex, so that what is built of several
//         grids has no cracks; each corner keeps the normal and the flat mm of its own grid. Triangles without area,
//         as at the pole of a turned thing, are left out.
#pragma once

#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/solid.h"

namespace wheatpaste {

inline constexpr double kWeldMm = 1e-5;

struct SolidPoint {
  Eigen::Vector3d at{0, 0, 0};
  Eigen::Vector3d normal{0, 0, 1};
  Eigen::Vector2d texture_mm{0, 0};
  SurfaceMm sheet;
};

// rows x columns points, row by row.
struct SolidGrid {
  SolidGrid(int rows, int columns)
      : row_count(rows), column_count(columns), points(static_cast<size_t>(rows) * columns) {}
  int row_count, column_count;
  std::vector<SolidPoint> points;

  SolidPoint& At(int row, int column) {
    return points[static_cast<size_t>(row) * column_count + column];
  }
  const SolidPoint& At(int row, int column) const {
    return points[static_cast<size_t>(row) * column_count + column];
  }
};

// Normals of a grid from its own points: central differences, at the border one-sided.
void SetGridNormals(SolidGrid& grid);

class SolidBuilder {
 public:
  // The number of the part of this name, which is added where it is new.
  int32_t Part(const std::string& name);
  int32_t AddChart() { return solid_.chart_count++; }
  void AddGrid(const SolidGrid& grid, int32_t part, int32_t chart = -1);
  void AddTriangle(const SolidPoint& a, const SolidPoint& b, const SolidPoint& c, int32_t part,
                   int32_t chart = -1);
  // A face whose mm are the sheet's, `origin` its top left; centred on its bounds.
  SolidFace& AddFace(const std::string& name, std::vector<int32_t> charts, SurfaceMm origin,
                     SurfaceMm size);
  SolidFace& LastFace() { return solid_.faces.back(); }
  void Warn(std::string words) { solid_.warnings.push_back(std::move(words)); }
  // Joins vertices and hands over.
  Solid Finish();

 private:
  int32_t AddVertex(const Eigen::Vector3d& at);
  Solid solid_;
};

// Numbers points so that those within kWeldMm of one another share one number, in the order of their first; `kept` holds the first of each.
std::vector<int32_t> WeldPoints(const std::vector<Eigen::Vector3d>& points,
                                std::vector<Eigen::Vector3d>& kept);

}  // namespace wheatpaste
