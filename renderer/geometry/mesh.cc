#include "geometry/mesh.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>
#include <utility>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

// mm along u and v at a triangle, and its area.
struct Stretch {
  double per_u = 0, per_v = 0, area = 0, flat_area = 0;
};

Stretch StretchAt(const Mesh& mesh, size_t triangle) {
  const auto& at = mesh.triangles[triangle];
  const auto& flat = mesh.uv_triangles[triangle];
  const auto vertex = [&](int i) { return mesh.vertices[static_cast<size_t>(at[i])]; };
  const auto uv = [&](int i) { return mesh.uvs[static_cast<size_t>(flat[i])]; };
  Eigen::Matrix<double, 3, 2> edges;
  edges << vertex(1) - vertex(0), vertex(2) - vertex(0);
  Eigen::Matrix2d flat_edges;
  flat_edges << uv(1) - uv(0), uv(2) - uv(0);
  const Eigen::Matrix<double, 3, 2> per_uv = edges * flat_edges.inverse();
  return {per_uv.col(0).norm(), per_uv.col(1).norm(), edges.col(0).cross(edges.col(1)).norm() / 2,
          flat_edges.determinant() / 2};
}

size_t RootOf(std::vector<size_t>& parents, size_t i) {
  while (parents[i] != i) {
    parents[i] = parents[parents[i]];
    i = parents[i];
  }
  return i;
}

// A number for each corner of each triangle, the same for the same vertex with the same uv.
std::vector<size_t> NumberCorners(const Mesh& mesh) {
  const size_t count = 3 * mesh.triangles.size();
  const auto key = [&](size_t corner) {
    const auto uv = mesh.uvs[static_cast<size_t>(mesh.uv_triangles[corner / 3][corner % 3])];
    return std::tuple{mesh.triangles[corner / 3][corner % 3], uv.x(), uv.y()};
  };
  std::vector<size_t> order(count), numbers(count);
  std::iota(order.begin(), order.end(), size_t{0});
  std::sort(order.begin(), order.end(), [&](size_t a, size_t b) { return key(a) < key(b); });
  for (size_t i = 1; i < count; ++i) {
    numbers[order[i]] = numbers[order[i - 1]] + (key(order[i - 1]) < key(order[i]) ? 1 : 0);
  }
  return numbers;
}

}  // namespace

void FindIslands(Mesh& mesh) {
  const size_t count = mesh.triangles.size();
  const std::vector<size_t> corners = NumberCorners(mesh);
  std::vector<std::tuple<size_t, size_t, size_t>> edges;  // the ends, then the triangle
  edges.reserve(3 * count);
  for (size_t i = 0; i < 3 * count; ++i) {
    const size_t a = corners[i], b = corners[i % 3 == 2 ? i - 2 : i + 1];
    edges.emplace_back(std::min(a, b), std::max(a, b), i / 3);
  }
  std::sort(edges.begin(), edges.end());
  std::vector<size_t> parents(count);
  std::iota(parents.begin(), parents.end(), size_t{0});
  for (size_t i = 1; i < edges.size(); ++i) {
    const auto& [a0, a1, a] = edges[i - 1];
    const auto& [b0, b1, b] = edges[i];
    if (a0 == b0 && a1 == b1) parents[RootOf(parents, b)] = RootOf(parents, a);
  }
  mesh.islands.assign(count, -1);
  mesh.island_count = 0;
  std::vector<int32_t> of_root(count, -1);
  for (size_t i = 0; i < count; ++i) {
    int32_t& island = of_root[RootOf(parents, i)];
    if (island < 0) island = mesh.island_count++;
    mesh.islands[i] = island;
  }
}

SurfaceMm SizeOfSquare(const Mesh& mesh) {
  double across = 0, down = 0, area = 0;
  for (size_t i = 0; i < mesh.triangles.size(); ++i) {
    const Stretch stretch = StretchAt(mesh, i);
    across += stretch.area * stretch.per_u;
    down += stretch.area * stretch.per_v;
    area += stretch.area;
  }
  return {across / area, down / area};
}

double StretchOf(const Mesh& mesh, const SurfaceMm& size) {
  double squares = 0, area = 0;
  for (size_t i = 0; i < mesh.triangles.size(); ++i) {
    const Stretch stretch = StretchAt(mesh, i);
    const double u = stretch.per_u / size.x - 1, v = stretch.per_v / size.y - 1;
    squares += stretch.area * (u * u + v * v) / 2;
    area += stretch.area;
  }
  return std::sqrt(squares / area);
}

int32_t CountMirrored(const Mesh& mesh) {
  std::vector<double> flat(static_cast<size_t>(mesh.island_count));
  for (size_t i = 0; i < mesh.triangles.size(); ++i) {
    flat[static_cast<size_t>(mesh.islands[i])] += StretchAt(mesh, i).flat_area;
  }
  return static_cast<int32_t>(
      std::count_if(flat.begin(), flat.end(), [](double area) { return area < 0; }));
}

}  // namespace wheatpaste
