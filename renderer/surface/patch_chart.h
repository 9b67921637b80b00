// patch_chart.h - a bent sheet marked by a grid of points, as a chart.
//
// Model   photo = lens(spline(mm)), the spline of geometry/patch_spline.h, which does not fold: each photo point
//         lies on it at most once. Its inverse by Newton's method, from the point before it on the line, and
//         from a coarse table of photo px where there is none or where the point would lie beyond the sheet's
//         edge: beside a dent of the outline the spline's continuation meets what belongs to the other side.
#pragma once

#include <vector>

#include "geometry/lens.h"
#include "geometry/patch_spline.h"
#include "surface/smooth_chart.h"

namespace wheatpaste {

class PatchChart : public SmoothChart {
 public:
  // ideal_from_surface  to px of a lens without distortion; its Jacobian determinant is above 0 everywhere, its
  //                     outline does not cross itself.
  PatchChart(PatchSpline ideal_from_surface, const Lens& lens);

 protected:
  std::vector<Polygon> Outlines(double tolerance_px) const override;
  void MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const override;

 private:
  // For each square of ideal px, the sheet's sample nearest to its middle.
  struct Near {
    SurfaceMm mm;
    PhotoPx ideal;
    bool known = false;
  };
  void FillTable();
  const Near& NearestTo(const PhotoPx& ideal) const;
  // From the table, for a point whose neighbour on the line does not lead to it.
  PatchSpline::Inverse SearchFromTable(const PhotoPx& ideal) const;
  // How far beyond the sheet, in cells; 0 within.
  double Beyond(const SurfaceMm& mm) const;
  // The parts of the line photo.y = y that lie within the sheet's outline, or within `reach` px of it.
  struct Stretch {
    double from, to;
  };
  std::vector<Stretch> StretchesOf(double y, double reach) const;

  PatchSpline spline_;
  Lens lens_;
  PhotoPx table_origin_;
  double table_step_ = 1;
  int table_columns_ = 0, table_rows_ = 0;
  std::vector<Near> table_;
  Polygon outline_;  // photo px
  double outline_tolerance_px_ = 0;
};

// The sheet's outline in px of a lens without distortion, clockwise from its top left; straight pieces stay
// within `tolerance_px`.
Polygon IdealOutlineOf(const PatchSpline& spline, double tolerance_px);

}  // namespace wheatpaste
