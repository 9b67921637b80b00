// finish.h - the finishes of one placement, drawn and ready to be looked up under each pixel.
//
// Model   each finish has a coverage m over the artwork's raster: what its mask paints black (alpha - Y: a plate for a finish is
//         drawn solid black, common practice), or the artwork's own alpha. Embossed and debossed ones are heights: height *
//         (m blurred by two boxes of edge / 2 along each axis), so that a straight edge rises over `edge` mm, half of it inside, by
//         h(x) = height * (2 t^2, t = x / edge + 1/2 below 1/2; 1 - 2 (1 - t)^2 above). What is narrower than the slope stays
//         lower. Heights add up; their slopes, mm per mm along the artwork's u and v, tilt the normal under every finish.
//         The print itself is not moved by its height: 0.3 mm seen 45 degrees from the side shift it by as much.
// Layout  planes of pyramids (image/pyramid.h), four each, averaged under a pixel as artwork is: slopes in planes 0 and 1
//         where there are any, then the coverages that are not the artwork's own.
// Source  derived here; tests/composite/finish_test.cc.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "artwork/artwork.h"
#include "geometry/coords.h"
#include "image/pyramid.h"
#include "ink/foil.h"
#include "scene/scene.h"

namespace wheatpaste {

// Varnish or foil.
struct PreparedCoat {
  Finish finish;
  std::optional<size_t> plane;       // of the planes below; none: the artwork's own alpha
  std::shared_ptr<const Foil> foil;  // none: varnish
};

struct PreparedFinishes {
  bool slopes = false;
  std::vector<PreparedCoat> coats;  // in the order in which they are done
  std::vector<std::shared_ptr<const Pyramid>> planes;
  Eigen::Vector2d margin_px =
      Eigen::Vector2d::Zero();  // by which `planes` reach beyond the artwork's raster
};

// The name of a finish's mask in ArtworkByName; "" where it has none of its own.
std::string MaskNameOf(const Placement& placement, const Finish& finish);

// How far beyond the artwork its finishes reach, mm.
double FinishReachMm(const Placement& placement);

// A raster of an artwork, or a part of one.
struct RasterPart {
  SizePx whole;
  RectPx part;
};
Result<Image<LinearPremul>> DrawPart(const Artwork& artwork, const RasterPart& at);

// The coats of a placement's finishes, without what they cover.
std::vector<PreparedCoat> CoatsOf(const Placement& placement);

// artwork  as it was drawn for the placement.
// at       which part of its whole raster that is. What lies nearer than a finish reaches to an edge at which it was cut
//          is not right.
// coats    of the placement.
// masks    one for each finish of the placement; null where it has none of its own.
// printed  the artwork's size, mm.
// errors   a mask that cannot be drawn, or is not of the artwork's extent.
Result<PreparedFinishes> PrepareFinishes(const Placement& placement, const Pyramid& artwork,
                                         double aspect,
                                         const std::vector<std::shared_ptr<const Artwork>>& masks,
                                         const SurfaceMm& printed, const RasterPart& at,
                                         std::vector<PreparedCoat> coats);
// The same of the whole artwork.
Result<PreparedFinishes> PrepareFinishes(const Placement& placement, const Pyramid& artwork,
                                         double aspect,
                                         const std::vector<std::shared_ptr<const Artwork>>& masks,
                                         const SurfaceMm& printed);

}  // namespace wheatpaste
