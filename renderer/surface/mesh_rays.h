// mesh_rays.h - the first triangle of a mesh that a ray meets.
//
// Model   Embree 3, robust mode, closest hit; a ray that meets nothing is asked again a little beside, as one
//         through a corner itself can slip through. Embree counts in single precision, so
//         it only names the triangle; where on it the ray stands is computed from the triangle itself.
// Threads built once, then safe to ask from several at once.
#pragma once

#include <cstdint>
#include <memory>

#include <Eigen/Core>

#include "geometry/mesh.h"

namespace wheatpaste {

struct MeshHit {
  int32_t triangle = -1;  // index into Mesh::triangles; -1: the ray meets nothing
  double distance = 0;    // in lengths of the direction
  Eigen::Vector2d uv = Eigen::Vector2d::Zero();
};

// Object mm; the direction need not have length 1.
struct MeshRay {
  Eigen::Vector3d from, along;
};

class MeshRays {
 public:
  // mesh  must outlive the result.
  explicit MeshRays(const Mesh& mesh);
  ~MeshRays();
  MeshRays(const MeshRays&) = delete;
  MeshRays& operator=(const MeshRays&) = delete;

  // origin, direction  as MeshRay.
  int32_t FirstTriangle(const Eigen::Vector3d& origin, const Eigen::Vector3d& direction) const;
  MeshHit FirstHit(const Eigen::Vector3d& origin, const Eigen::Vector3d& direction) const;

 private:
  struct Scene;
  const Mesh& mesh_;
  std::unique_ptr<Scene> scene_;
};

}  // namespace wheatpaste
