// plane_chart.h - a flat rectangle as a chart: a plane, a face of a box.
//
// Model   photo from surface mm is projective. A lens that bends lines makes it a smooth chart instead.
#pragma once

#include <optional>

#include <Eigen/Core>

#include "geometry/lens.h"
#include "surface/smooth_chart.h"

namespace wheatpaste {

class PlaneChart : public SmoothChart {
 public:
  // ideal_from_surface  to px of a lens without distortion.
  // size    mm; the rectangle from (0, 0). All of it lies before the camera.
  // lens    of the photo.
  // normal  camera axes, towards the camera, of length 1; none: the pose is not known.
  PlaneChart(const Map<PhotoPx, SurfaceMm>& ideal_from_surface, SurfaceMm size, const Lens& lens,
             const std::optional<Eigen::Vector3d>& normal = std::nullopt)
      : ideal_from_surface_(ideal_from_surface),
        surface_from_ideal_(ideal_from_surface.Inverse()),
        size_(size),
        lens_(lens),
        normal_(normal) {}

  ChartPicture Picture(const Frame& frame) const override;
  std::optional<Image<NormalPlanes>> Normals(const Frame& frame,
                                             const RectPx& region) const override;

 protected:
  std::vector<Polygon> Outlines(double tolerance_px) const override;
  void MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const override;

 private:
  Map<PhotoPx, SurfaceMm> ideal_from_surface_;
  Map<SurfaceMm, PhotoPx> surface_from_ideal_;
  SurfaceMm size_;
  Lens lens_;
  std::optional<Eigen::Vector3d> normal_;
};

// The rectangle (0, 0) to `size` as a print area.
PrintArea RectangleArea(const SurfaceMm& size);

}  // namespace wheatpaste
