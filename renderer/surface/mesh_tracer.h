// mesh_tracer.h - what rays of one picture meet of a mesh: whose islands lie under each pixel, and how much of it they cover.
//
// Model   told in mesh_chart.h, with its source.
#pragma once

#include <array>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include "geometry/lens.h"
#include "geometry/pose.h"
#include "surface/chart.h"
#include "surface/mesh_rays.h"

namespace wheatpaste {

inline constexpr int kSubRays = 64;
inline constexpr int kLensRays = 256;

// A thin lens: radius of its opening, and the depth at which it is sharp; 0: a point.
struct LensOpening {
  double radius_mm = 0, focus_mm = 1;
};

// How much of a pixel an island covers, and the triangle from which the pixel takes its mm, at the pixel's
// centre or at one of its sub-rays.
struct MeshShare {
  int64_t x = 0;  // output px
  int32_t island = 0;
  int32_t triangle = 0;
  // On it: where the island is looked up, px from the pixel's corner, and mm there of a lens that is no point.
  Eigen::Vector2d at{0.5, 0.5};
  std::optional<SurfaceMm> mm;
  float share = 0;
};

// What the rays of one picture met.
struct MeshPicture {
  Frame frame;
  std::vector<int32_t> triangles;              // of each output px: seen from its front, or -1
  std::vector<std::vector<MeshShare>> shares;  // of each row, in the order of x
  std::vector<uint8_t> is_edge;                // of each output px: its cover stands in `shares`
  std::vector<RectPx> regions;                 // of each island
};

// Asks the rays once for all islands of a mesh, and keeps the last picture. Threads: safe.
class MeshTracer {
 public:
  // size     mm of the uv square.
  // unasked  an island whose share nobody will ask for; -1: none.
  MeshTracer(std::shared_ptr<const Mesh> mesh, const Pose& pose, const Lens& lens,
             const SurfaceMm& size, const LensOpening& opening = {}, int32_t unasked = -1);

  const Mesh& mesh() const { return *mesh_; }
  const Lens& lens() const { return lens_; }
  std::shared_ptr<const MeshPicture> Picture(const Frame& frame) const;
  bool has_blur() const { return opening_.radius_mm > 0; }
  // Diameter of the circle of confusion, photo px, of a triangle where px of a lens without distortion meets its plane.
  double ConfusionPx(int32_t triangle, const PhotoPx& ideal) const;
  // On one triangle: flat mm of px of a lens without distortion.
  Map<SurfaceMm, PhotoPx> SurfaceFromIdeal(int32_t triangle) const;
  bool IsFront(int32_t triangle) const { return front_[static_cast<size_t>(triangle)] != 0; }
  bool AnyFront() const;
  // Towards the camera, camera axes: where px of a lens without distortion meets the triangle. Where the corners' mean
  // looks away, the triangle's own.
  Eigen::Vector3d NormalAt(int32_t triangle, const PhotoPx& ideal) const;

 private:
  // off  where on the lens the ray starts, from -1 to 1 of its radius.
  MeshRay RayOf(const PhotoPx& photo, const Eigen::Vector2d& off) const;
  // The triangle seen from its front; -1: none, or a back stands before it.
  int32_t FrontAt(const MeshRay& ray) const;
  // Flat mm where the ray meets a triangle's plane.
  SurfaceMm MmOn(int32_t triangle, const MeshRay& ray) const;
  // 1 / depth of the triangle where px of a lens without distortion meets its plane.
  double NearnessAt(int32_t triangle, const PhotoPx& ideal) const;
  double ConfusionPx(double nearness) const;
  MeshPicture Trace(const Frame& frame) const;
  // How far the blur of an edge at the pixel reaches, output px.
  double BlurReach(const MeshPicture& picture, int64_t x, int64_t y) const;
  void MarkEdges(MeshPicture& picture) const;
  void TraceEdges(MeshPicture& picture, int64_t row) const;

  std::shared_ptr<const Mesh> mesh_;
  Pose pose_;
  Lens lens_;
  SurfaceMm size_;
  LensOpening opening_;
  int32_t unasked_;
  MeshRays rays_;
  std::vector<uint8_t> front_;  // of each triangle
  mutable std::once_flag normals_made_;
  mutable std::vector<std::array<Eigen::Vector3d, 3>> normals_;  // of each triangle's corners
  mutable std::mutex mutex_;
  mutable std::shared_ptr<const MeshPicture> last_;
};

}  // namespace wheatpaste
