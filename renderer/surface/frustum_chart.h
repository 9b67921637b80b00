// frustum_chart.h - the side of a cylinder or cone as a chart, or a strip of it.
//
// Model   ray against quadric per point, then the flat pattern (geometry/frustum.h). What is seen lies between the
//         two limbs and the near arcs of both rims; nothing of the side hides another part of it. Where the wrap's
//         seam is seen the side is cut along it, and a strip of more than three quarters of a turn is cut in half,
//         so that the flat mm of each strip have no jump near it.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "geometry/frustum.h"
#include "geometry/lens.h"
#include "geometry/pose.h"
#include "surface/smooth_chart.h"

namespace wheatpaste {

// A frustum before the camera. Azimuth 0 of the pose's frame faces the camera (frustum.h, FrustumView).
struct PosedFrustum {
  FrustumSize size;
  Pose pose;
  FlatPattern pattern;
  double turn_rad = 0;  // azimuth of the pattern's centre line
  Lens lens;
};

class FrustumChart : public SmoothChart {
 public:
  // low, high  azimuths from the pattern's centre line, within [-pi, pi]; all between them is seen.
  FrustumChart(const PosedFrustum& frustum, double low_rad, double high_rad);

  std::optional<Image<NormalPlanes>> Normals(const Frame& frame,
                                             const RectPx& region) const override;

 protected:
  std::vector<Polygon> Outlines(double tolerance_px) const override;
  void MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const override;

 private:
  SurfaceMm MmOf(const Eigen::Vector3d& direction) const;

  PosedFrustum frustum_;
  FrustumView view_;
  double low_rad_, high_rad_, middle_rad_;
  double from_camera_rad_;  // the middle's azimuth from the camera, within half a turn
};

// The charts of all that is seen of the side; none where nothing is.
std::vector<std::shared_ptr<const Chart>> FrustumCharts(const PosedFrustum& frustum);

// The whole flat pattern: a rectangle, or the annular sector with its arcs finely sampled.
PrintArea AreaOf(const FrustumSize& size, const FlatPattern& pattern);

}  // namespace wheatpaste
