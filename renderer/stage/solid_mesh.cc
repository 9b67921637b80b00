// solid_mesh.cc - a thing from an OBJ file.
//
// Flat    a chart for each island of its flat pattern; islands that are mirrored in it are not printed on. mm on the sheet: the uv square
//         as wide and high as the mesh is per u and per v (geometry/mesh.h).
// Normals of the file are not read: each corner's is the mean of the triangles about its vertex, weighted by their angle there, among
//         those that turn from its own by less than kCreaseDegrees.
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>
#include <fmt/format.h>

#include "geometry/read_obj.h"
#include "stage/solids.h"

namespace wheatpaste {
namespace {

constexpr double kCreaseDegrees = 40;

void SetNormals(Solid& solid) {
  const double least = std::cos(kCreaseDegrees * std::numbers::pi / 180);
  struct Corner {
    Eigen::Vector3d normal;
    double angle;
  };
  std::vector<std::vector<Corner>> about(solid.vertices.size());
  std::vector<Eigen::Vector3d> own(solid.triangles.size());
  for (size_t i = 0; i < solid.triangles.size(); ++i) {
    const auto& at = solid.triangles[i].vertices;
    const auto vertex = [&](size_t k) { return solid.vertices[static_cast<size_t>(at[k % 3])]; };
    own[i] = (vertex(1) - vertex(0)).cross(vertex(2) - vertex(0)).normalized();
    for (size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3d a = (vertex(k + 1) - vertex(k)).normalized();
      const Eigen::Vector3d b = (vertex(k + 2) - vertex(k)).normalized();
      const double angle = std::atan2(a.cross(b).norm(), a.dot(b));
      about[static_cast<size_t>(at[k])].push_back({own[i], angle});
    }
  }
  for (size_t i = 0; i < solid.triangles.size(); ++i) {
    for (size_t k = 0; k < 3; ++k) {
      Eigen::Vector3d sum(0, 0, 0);
      for (const Corner& corner : about[static_cast<size_t>(solid.triangles[i].vertices[k])]) {
        if (corner.normal.dot(own[i]) >= least) sum += corner.angle * corner.normal;
      }
      solid.triangles[i].normals[k] = sum.normalized();
    }
  }
}

// Islands whose flat pattern is mirrored.
std::vector<bool> MirroredIslands(const Mesh& mesh) {
  std::vector<double> flat(static_cast<size_t>(mesh.island_count));
  for (size_t i = 0; i < mesh.triangles.size(); ++i) {
    const auto uv = [&](size_t k) {
      return mesh.uvs[static_cast<size_t>(mesh.uv_triangles[i][k])];
    };
    const Eigen::Vector2d a = uv(1) - uv(0), b = uv(2) - uv(0);
    flat[static_cast<size_t>(mesh.islands[i])] += a.x() * b.y() - a.y() * b.x();
  }
  std::vector<bool> mirrored;
  for (const double area : flat) mirrored.push_back(area < 0);
  return mirrored;
}

}  // namespace

Result<Solid> MakeMeshSolid(const MeshSolid& given) {
  Result<Mesh> read = ReadObj(given.file, given.mm_per_unit);
  if (!read.ok()) return std::move(read).errors();
  Mesh& mesh = *read;
  if (mesh.islands.size() != mesh.triangles.size()) FindIslands(mesh);
  const SurfaceMm square = SizeOfSquare(mesh);
  const std::vector<bool> mirrored = MirroredIslands(mesh);
  std::vector<int32_t> chart_of(mirrored.size(), -1);
  Solid solid;
  solid.parts = {"body"};
  solid.warnings = std::move(mesh.warnings);
  SolidFace face;
  for (size_t i = 0; i < mirrored.size(); ++i) {
    if (mirrored[i]) continue;
    chart_of[i] = solid.chart_count++;
    face.charts.push_back(chart_of[i]);
  }
  if (face.charts.size() < mirrored.size()) {
    solid.warnings.push_back(fmt::format(
        "{} of {} islands of the mesh's flat pattern are mirrored and cannot be printed on",
        mirrored.size() - face.charts.size(), mirrored.size()));
  }
  for (const Eigen::Vector3d& v : mesh.vertices) solid.vertices.emplace_back(v.x(), -v.y(), -v.z());
  for (size_t i = 0; i < mesh.triangles.size(); ++i) {
    SolidTriangle triangle;
    triangle.vertices = mesh.triangles[i];
    triangle.chart = chart_of[static_cast<size_t>(mesh.islands[i])];
    for (size_t k = 0; k < 3; ++k) {
      const Eigen::Vector2d& uv = mesh.uvs[static_cast<size_t>(mesh.uv_triangles[i][k])];
      triangle.texture_mm[k] = {uv.x() * square.x, uv.y() * square.y};
      triangle.sheet[k] = {uv.x() * square.x, (1 - uv.y()) * square.y};
    }
    solid.triangles.push_back(triangle);
  }
  SetNormals(solid);
  if (!face.charts.empty()) {
    face.high = square;
    face.centre = {square.x / 2, square.y / 2};
    solid.faces.push_back(std::move(face));
  }
  return solid;
}

}  // namespace wheatpaste
