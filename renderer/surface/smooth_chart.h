// smooth_chart.h - a chart whose flat mm change smoothly over the picture, made from two functions: where a
// photo point lies on it, and its outline.
//
// Model   mm at every pixel's centre; the change along a pixel from the pixel's four corners (secants), so
//         that it stays finite at a limb, where the derivative does not. Coverage is the exact area of the
//         outline within the pixel.
#pragma once

#include <span>
#include <vector>

#include "scene/scene.h"
#include "surface/chart.h"

namespace wheatpaste {

class SmoothChart : public Chart {
 public:
  ChartPicture Picture(const Frame& frame) const override;

 protected:
  // Photo px of what the geometry shows of the face: closed, fine enough that its straight pieces stay within
  // `tolerance_px` of the true outline. Several where it falls apart; none where it is not seen.
  virtual std::vector<Polygon> Outlines(double tolerance_px) const = 0;

  // Flat mm of the points photo.x = x0 + i step, i < count, of one line photo.y = y. A point beside the face
  // gets the mm of the face's nearest point as pictured (beside a limb: the limb's), or the smooth
  // continuation beyond an edge. Calls do not depend on each other.
  virtual void MmOfLine(double y, double x0, double step, int64_t count, SurfaceMm* mm) const = 0;
};

}  // namespace wheatpaste
