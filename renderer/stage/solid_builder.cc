#include "stage/solid_builder.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

// Of the cells in which vertices are looked for.
constexpr double kCellMm = 1e-2;

struct CellHash {
  size_t operator()(const std::array<int64_t, 3>& cell) const {
    uint64_t hash = 0xcbf29ce484222325u;
    for (const int64_t c : cell) hash = (hash ^ static_cast<uint64_t>(c)) * 0x9e3779b97f4a7c15u;
    return hash ^ (hash >> 29);
  }
};

}  // namespace

std::vector<int32_t> WeldPoints(const std::vector<Eigen::Vector3d>& points,
                                std::vector<Eigen::Vector3d>& kept) {
  std::unordered_multimap<std::array<int64_t, 3>, int32_t, CellHash> cells;
  cells.reserve(points.size());
  std::vector<int32_t> numbers(points.size());
  const auto cell_of = [](double mm) { return static_cast<int64_t>(std::floor(mm / kCellMm)); };
  for (size_t i = 0; i < points.size(); ++i) {
    const Eigen::Vector3d& p = points[i];
    std::array<int64_t, 3> low, high;
    for (int k = 0; k < 3; ++k) {
      low[k] = cell_of(p[k] - kWeldMm);
      high[k] = cell_of(p[k] + kWeldMm);
    }
    int32_t found = -1;
    for (int64_t x = low[0]; x <= high[0]; ++x) {
      for (int64_t y = low[1]; y <= high[1]; ++y) {
        for (int64_t z = low[2]; z <= high[2]; ++z) {
          const auto [from, to] = cells.equal_range({x, y, z});
          for (auto it = from; it != to; ++it) {
            const double away = (kept[static_cast<size_t>(it->second)] - p).norm();
            if (away <= kWeldMm && (found < 0 || it->second < found)) found = it->second;
          }
        }
      }
    }
    if (found < 0) {
      found = static_cast<int32_t>(kept.size());
      kept.push_back(p);
      cells.insert({{cell_of(p.x()), cell_of(p.y()), cell_of(p.z())}, found});
    }
    numbers[i] = found;
  }
  return numbers;
}

void SetGridNormals(SolidGrid& grid) {
  const int rows = grid.row_count, columns = grid.column_count;
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      const Eigen::Vector3d across =
          grid.At(r, std::min(c + 1, columns - 1)).at - grid.At(r, std::max(c - 1, 0)).at;
      const Eigen::Vector3d down =
          grid.At(std::min(r + 1, rows - 1), c).at - grid.At(std::max(r - 1, 0), c).at;
      grid.At(r, c).normal = down.cross(across).normalized();
    }
  }
}

int32_t SolidBuilder::Part(const std::string& name) {
  const auto found = std::find(solid_.parts.begin(), solid_.parts.end(), name);
  if (found == solid_.parts.end()) {
    solid_.parts.push_back(name);
    return static_cast<int32_t>(solid_.parts.size()) - 1;
  }
  return static_cast<int32_t>(found - solid_.parts.begin());
}

int32_t SolidBuilder::AddVertex(const Eigen::Vector3d& at) {
  solid_.vertices.push_back(at);
  return static_cast<int32_t>(solid_.vertices.size()) - 1;
}

void SolidBuilder::AddTriangle(const SolidPoint& a, const SolidPoint& b, const SolidPoint& c,
                               int32_t part, int32_t chart) {
  SolidTriangle triangle;
  const std::array<const SolidPoint*, 3> corners{&a, &b, &c};
  for (size_t i = 0; i < 3; ++i) {
    triangle.vertices[i] = AddVertex(corners[i]->at);
    triangle.normals[i] = corners[i]->normal;
    triangle.texture_mm[i] = corners[i]->texture_mm;
    triangle.sheet[i] = corners[i]->sheet;
  }
  triangle.part = part;
  triangle.chart = chart;
  solid_.triangles.push_back(triangle);
}

void SolidBuilder::AddGrid(const SolidGrid& grid, int32_t part, int32_t chart) {
  const auto first = static_cast<int32_t>(solid_.vertices.size());
  for (const SolidPoint& point : grid.points) solid_.vertices.push_back(point.at);
  const auto add = [&](std::array<int32_t, 3> corners) {
    SolidTriangle triangle;
    for (size_t i = 0; i < 3; ++i) {
      const SolidPoint& point = grid.points[static_cast<size_t>(corners[i])];
      triangle.vertices[i] = first + corners[i];
      triangle.normals[i] = point.normal;
      triangle.texture_mm[i] = point.texture_mm;
      triangle.sheet[i] = point.sheet;
    }
    triangle.part = part;
    triangle.chart = chart;
    solid_.triangles.push_back(triangle);
  };
  for (int r = 0; r + 1 < grid.row_count; ++r) {
    for (int c = 0; c + 1 < grid.column_count; ++c) {
      const int32_t a = r * grid.column_count + c, b = a + 1, d = a + grid.column_count, e = d + 1;
      const double falling = (grid.At(r, c).at - grid.At(r + 1, c + 1).at).squaredNorm();
      const double rising = (grid.At(r, c + 1).at - grid.At(r + 1, c).at).squaredNorm();
      // Of two that are as long the same one always, whatever rounding says.
      if (falling <= rising * (1 + 1e-9)) {
        add({a, d, e});
        add({a, e, b});
      } else {
        add({a, d, b});
        add({b, d, e});
      }
    }
  }
}

SolidFace& SolidBuilder::AddFace(const std::string& name, std::vector<int32_t> charts,
                                 SurfaceMm origin, SurfaceMm size) {
  Eigen::Matrix3d moved = Eigen::Matrix3d::Identity();
  moved(0, 2) = -origin.x;
  moved(1, 2) = -origin.y;
  SolidFace face;
  face.name = name;
  face.charts = std::move(charts);
  face.face_from_sheet = Map<SurfaceMm, SurfaceMm>(moved);
  face.high = size;
  face.centre = {size.x / 2, size.y / 2};
  solid_.faces.push_back(std::move(face));
  return solid_.faces.back();
}

Solid SolidBuilder::Finish() {
  std::vector<Eigen::Vector3d> kept;
  const std::vector<int32_t> numbers = WeldPoints(solid_.vertices, kept);
  std::vector<bool> used(kept.size());
  size_t count = 0;
  for (SolidTriangle triangle : solid_.triangles) {
    for (int32_t& vertex : triangle.vertices) vertex = numbers[static_cast<size_t>(vertex)];
    const auto& [a, b, c] = triangle.vertices;
    if (a == b || b == c || c == a) continue;
    for (const int32_t vertex : triangle.vertices) used[static_cast<size_t>(vertex)] = true;
    solid_.triangles[count++] = triangle;
  }
  solid_.triangles.resize(count);
  // Corners of left out triangles may be of no other.
  std::vector<int32_t> renumbered(kept.size(), -1);
  solid_.vertices.clear();
  for (size_t i = 0; i < kept.size(); ++i) {
    if (!used[i]) continue;
    renumbered[i] = static_cast<int32_t>(solid_.vertices.size());
    solid_.vertices.push_back(kept[i]);
  }
  for (SolidTriangle& triangle : solid_.triangles) {
    for (int32_t& vertex : triangle.vertices) vertex = renumbered[static_cast<size_t>(vertex)];
  }
  return std::move(solid_);
}

}  // namespace wheatpaste
