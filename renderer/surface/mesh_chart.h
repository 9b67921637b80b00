// mesh_chart.h - an island of a mesh's flat pattern as the picture shows it.
//
// Model   the first triangle under each output pixel's centre; on it surface mm is a projective map of the photo,
//         so mm and their change along a pixel are exact for that triangle. Where a pixel and its eight neighbours
//         do not all see the front of the same island, kSubRays rays through the pixel count how much of it each
//         island covers: the charts of a mesh add up to at most 1. What one island holds twice (a fold before
//         its own back) is one face of the picture. A triangle seen from behind is not printed, but hides.
//         Parts narrower than a pixel that no centre and no neighbour's centre meets are not seen.
// Source  derived here; mesh_chart_test.cc holds it against closed forms. Sub-rays at Hammersley's points
//         (van der Corput's sequence in base 2).
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

// How much of a pixel an island covers, and the triangle from which the pixel takes its mm, at the pixel's
// centre or at one of its sub-rays.
struct MeshShare {
  int64_t x = 0;  // output px
  int32_t island = 0;
  int32_t triangle = 0;
  int sub_ray = -1;  // -1: the centre
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
  // size  mm of the uv square.
  MeshTracer(std::shared_ptr<const Mesh> mesh, const Pose& pose, const Lens& lens,
             const SurfaceMm& size);

  const Mesh& mesh() const { return *mesh_; }
  const Lens& lens() const { return lens_; }
  std::shared_ptr<const MeshPicture> Picture(const Frame& frame) const;
  // The triangle seen from its front at a photo point; -1: none, or a back stands before it.
  int32_t TriangleAt(const PhotoPx& photo) const;
  // On one triangle: flat mm of px of a lens without distortion.
  Map<SurfaceMm, PhotoPx> SurfaceFromIdeal(int32_t triangle) const;
  bool IsFront(int32_t triangle) const { return front_[static_cast<size_t>(triangle)] != 0; }
  bool AnyFront() const;
  // Towards the camera, camera axes: where px of a lens without distortion meets the triangle. Where the corners' mean
  // looks away, the triangle's own.
  Eigen::Vector3d NormalAt(int32_t triangle, const PhotoPx& ideal) const;

 private:
  MeshPicture Trace(const Frame& frame) const;
  void TraceEdges(MeshPicture& picture, int64_t row) const;

  std::shared_ptr<const Mesh> mesh_;
  Pose pose_;
  Lens lens_;
  SurfaceMm size_;
  MeshRays rays_;
  std::vector<uint8_t> front_;  // of each triangle
  mutable std::once_flag normals_made_;
  mutable std::vector<std::array<Eigen::Vector3d, 3>> normals_;  // of each triangle's corners
  mutable std::mutex mutex_;
  mutable std::shared_ptr<const MeshPicture> last_;
};

class MeshChart : public Chart {
 public:
  MeshChart(std::shared_ptr<const MeshTracer> tracer, int32_t island)
      : tracer_(std::move(tracer)), island_(island) {}
  ChartPicture Picture(const Frame& frame) const override;
  // As of the smooth thing that the mesh stands for (mesh_normals.h).
  std::optional<Image<NormalPlanes>> Normals(const Frame& frame,
                                             const RectPx& region) const override;

 private:
  std::shared_ptr<const MeshTracer> tracer_;
  int32_t island_;
};

}  // namespace wheatpaste
