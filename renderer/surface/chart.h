// chart.h - a printable face as the picture shows it: which surface mm lies under each pixel.
//
// A face laid flat is a chart. A plane is one chart; a box has six; a cup has one, or two where its seam is
// seen, so that the flat mm never jump within a chart. The charts of one scene surface never overlap in the
// picture: their `seen` adds up to at most 1 in every pixel, and what is printed on them is summed by it.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "geometry/coords.h"
#include "image/image.h"
#include "surface/frame.h"

namespace wheatpaste {

// Flat mm under an output pixel's centre and their change along one output px.
struct SurfaceMmPlanes {
  static constexpr int kPlanes = 6;  // x, y, dx/dX, dx/dY, dy/dX, dy/dY
};

struct ChartPicture {
  RectPx region;         // output px: the face's bounds within the picture; empty: not in it
  Image<Coverage> seen;  // of the region's pixels, by the object's own geometry alone
  // Where each output pixel lies on the face: a projective map, or the region's pixels one by one. Pixels
  // with seen > 0 hold finite values; on pixels that the face only touches, those of its nearest point.
  std::optional<Map<OutputPx, SurfaceMm>> output_from_surface;
  Image<SurfaceMmPlanes> mm;
  // Where the camera's lens is known: standard deviation of its blur, output px, of the region's pixels; empty: the lens is
  // not known, or everything is sharp.
  Image<Coverage> blur;
};

// Unit normals in camera axes (x right, y down, z away), on the side towards the camera: n . ray < 0 where the
// face is seen, 0 at a limb.
struct NormalPlanes {
  static constexpr int kPlanes = 3;
};

class Chart {
 public:
  virtual ~Chart() = default;
  // Threads: runs in parallel inside; the same bits for any thread count.
  virtual ChartPicture Picture(const Frame& frame) const = 0;
  // Of the region's pixels at their centres; region: output px, anywhere. A pixel beside the face holds the normal of
  // the face's nearest point, or of its smooth continuation. None where the marks fix no shape in space.
  // Threads as above.
  virtual std::optional<Image<NormalPlanes>> Normals(const Frame& /*frame*/,
                                                     const RectPx& /*region*/) const {
    return std::nullopt;
  }
};

// The flat area that may be printed on, and where placements on it count from.
struct PrintArea {
  SurfaceMm low, high;             // bounds, mm
  SurfaceMm centre;                // where artwork's centre goes by default, and `fit` centres it
  std::vector<SurfaceMm> outline;  // closed; empty: the rectangle of the bounds
};

// Width and height of the bounds.
inline SurfaceMm SizeOf(const PrintArea& area) {
  return {area.high.x - area.low.x, area.high.y - area.low.y};
}

// A face with a name of its own ("front" of "carton.front"; "" where a surface has only one).
struct Face {
  std::string name;
  PrintArea area;
  std::vector<std::shared_ptr<const Chart>> charts;
};

}  // namespace wheatpaste
