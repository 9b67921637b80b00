// frustum.h - the side of a round thing, cylinder or cone frustum: laid flat, and as rays meet it.
//
// Frame   object mm: origin at the centre of the top rim, y down the axis, x right, z away from the camera.
//         A point of the side at azimuth t (0 faces -z, positive towards x) and height y is
//             (a sin t, y, -a cos t),   a = a_top + k y,   k = (a_bottom - a_top) / height
// Flat    the annular sector that the side unrolls to, its centre line upright at azimuth 0, origin on the
//         centre line half way down the slant, x right, y down. With the slant s, sin b = (a_top - a_bottom) / s
//         and v = (y / height - 1/2) s:
//             x = (a / sin b) sin(t sin b),   y = v + 2 (a / sin b) sin^2(t sin b / 2)
//         whichever rim is wider; with b -> 0 the rectangle x = a t, y = v of a cylinder. Exact: lengths on the
//         side are lengths in the flat.
// Source  derived here; the lengths of FlatSector are checked against published ones in the test.
#pragma once

#include <Eigen/Core>

#include "geometry/coords.h"

namespace wheatpaste {

struct FrustumSize {
  double diameter_top = 0, diameter_bottom = 0, height = 0;  // mm, all above 0

  // Diameters that agree to 1e-9 of themselves.
  bool is_cylinder() const;
  double slant() const;                // along the side, mm
  double SinHalfAngle() const;         // sin b above; exactly 0 for a cylinder
  double RadiusAt(double y_mm) const;  // a above
  double SlopeOfRadius() const;        // k above
};

// The flat pattern of a cone in numbers, mm. From the apex the wider rim lies at outer_radius.
struct FlatSector {
  double slant = 0;
  double outer_radius = 0, inner_radius = 0;
  double angle_rad = 0;
  double outer_chord = 0, inner_chord = 0;  // between the ends of each arc
  double width = 0, height = 0;             // of the sector with its centre line upright
  double area = 0;
};
// size  not a cylinder.
FlatSector FlatSectorOf(const FrustumSize& size);

struct SidePoint {
  double azimuth_rad = 0;
  double y_mm = 0;
};

Eigen::Vector3d ObjectFromSide(const FrustumSize& size, const SidePoint& side);

// From the side to its flat pattern and back. Points beyond the rims follow the same formulas up to the apex.
class FlatPattern {
 public:
  // origin  what is subtracted: where the pattern's origin lies, counted from the one described above.
  explicit FlatPattern(const FrustumSize& size, SurfaceMm origin = {0, 0});

  SurfaceMm FlatFromSide(const SidePoint& side) const;
  SidePoint SideFromFlat(const SurfaceMm& flat) const;
  // Bounds of the whole pattern, azimuth -180 to 180 degrees.
  SurfaceMm low() const;
  SurfaceMm high() const;

 private:
  FrustumSize size_;
  SurfaceMm origin_;
  double slant_, slant_per_height_, sin_b_, middle_radius_;
  double middle_from_apex_;  // signed as sin b; 0 for a cylinder
};

// A frustum as a camera outside of it sees it.
//
// Model   a side point's outward normal (sin t, -k, -cos t) looks at the camera, which stands at height c and
//         distance p from the axis, exactly where p cos t > a_top + k c: the limbs are the lines of azimuth
//         +- acos((a_top + k c) / p), and no part of the side hides another.
class FrustumView {
 public:
  // camera  object mm, at azimuth 0: x = 0, z <= 0.
  FrustumView(const FrustumSize& size, const Eigen::Vector3d& camera);

  // The side is seen where |azimuth| is below this: 0 where none of it, pi where all.
  double limb_rad() const { return limb_rad_; }

  // Where a ray of this direction (object axes) enters the side or its continuation beyond the rims. A ray that
  // misses gets the limb that it passes. Always finite; heights are held within a height of the frustum.
  SidePoint Along(const Eigen::Vector3d& direction) const;

 private:
  FrustumSize size_;
  Eigen::Vector3d camera_;
  double slope_, radius_there_, outside_, limb_rad_;
};

}  // namespace wheatpaste
