#include "surface/mesh_normals.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <numeric>
#include <tuple>
#include <utility>

#include <Eigen/Geometry>

namespace wheatpaste {
namespace {

// For each vertex the first of those at the same place.
std::vector<int32_t> SamePlace(const std::vector<Eigen::Vector3d>& vertices) {
  const auto key = [&](int32_t i) {
    const Eigen::Vector3d& p = vertices[static_cast<size_t>(i)];
    return std::tuple{p.x(), p.y(), p.z()};
  };
  std::vector<int32_t> order(vertices.size()), first(vertices.size());
  std::iota(order.begin(), order.end(), 0);
  std::sort(order.begin(), order.end(), [&](int32_t a, int32_t b) {
    return std::tuple{key(a), a} < std::tuple{key(b), b};
  });
  for (size_t i = 0; i < order.size(); ++i) {
    const bool same = i > 0 && key(order[i - 1]) == key(order[i]);
    first[static_cast<size_t>(order[i])] =
        same ? first[static_cast<size_t>(order[i - 1])] : order[i];
  }
  return first;
}

}  // namespace

std::vector<std::array<Eigen::Vector3d, 3>> CornerNormals(const Mesh& mesh) {
  const size_t count = mesh.triangles.size();
  const std::vector<int32_t> place = SamePlace(mesh.vertices);
  std::vector<Eigen::Vector3d> flat(count);
  std::vector<std::array<double, 3>> angles(count);
  std::vector<std::vector<std::pair<int32_t, int>>> meeting(mesh.vertices.size());
  for (size_t i = 0; i < count; ++i) {
    const auto at = [&](int k) {
      return mesh.vertices[static_cast<size_t>(mesh.triangles[i][static_cast<size_t>(k % 3)])];
    };
    flat[i] = (at(1) - at(0)).cross(at(2) - at(0)).normalized();
    for (int k = 0; k < 3; ++k) {
      const Eigen::Vector3d a = at(k + 1) - at(k), b = at(k + 2) - at(k);
      angles[i][static_cast<size_t>(k)] = std::atan2(a.cross(b).norm(), a.dot(b));
      const int32_t vertex = mesh.triangles[i][static_cast<size_t>(k)];
      meeting[static_cast<size_t>(place[static_cast<size_t>(vertex)])].push_back(
          {static_cast<int32_t>(i), k});
    }
  }
  const double least_cosine = std::cos(kSmoothDegrees * std::numbers::pi / 180);
  std::vector<std::array<Eigen::Vector3d, 3>> normals(count);
  for (size_t i = 0; i < count; ++i) {
    for (size_t k = 0; k < 3; ++k) {
      Eigen::Vector3d sum = Eigen::Vector3d::Zero();
      const auto vertex = static_cast<size_t>(mesh.triangles[i][k]);
      for (const auto& [other, corner] : meeting[static_cast<size_t>(place[vertex])]) {
        const auto j = static_cast<size_t>(other);
        if (flat[i].dot(flat[j]) >= least_cosine) {
          sum += angles[j][static_cast<size_t>(corner)] * flat[j];
        }
      }
      // A triangle of no area has no normal of its own.
      normals[i][k] = sum.norm() > 0 ? Eigen::Vector3d(sum.normalized()) : flat[i];
    }
  }
  return normals;
}

}  // namespace wheatpaste
