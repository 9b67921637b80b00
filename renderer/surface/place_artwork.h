// place_artwork.h - where artwork lies on its surface, and how finely it must be drawn for a picture.
//
// Model   surface_from_artwork: uv to mm by the artwork's printed size, turned clockwise about its
//         centre, the centre at `at`. contain: the largest size at which the turned artwork lies within
//         the surface; cover: the smallest at which it leaves nothing of the surface bare; stretch:
//         the surface's own sides (for a quarter turn, exchanged), the aspect ratio given up.
#pragma once

#include <array>
#include <vector>

#include "base/rect.h"
#include "geometry/coords.h"
#include "image/pyramid.h"
#include "scene/scene.h"
#include "surface/fit_plane.h"

namespace wheatpaste {

struct PlacedSize {
  SurfaceMm size;    // printed width and height, mm
  SurfaceMm centre;  // surface mm
  Map<SurfaceMm, ArtworkUv> surface_from_artwork;
  // Sides of the artwork that lie on (or beyond) the surface's own edge, to half a px of the picture or
  // a twentieth of a mm: there the surface alone cuts it.
  Edges bleeds;
};

// aspect  of the artwork, width / height.
// mm_slack  how near in mm an edge counts as lying on the surface's edge.
PlacedSize PlaceArtwork(const Placement& placement, const SurfaceMm& surface_size, double aspect,
                        double mm_slack);

// Raster px per surface mm that the picture asks for: `density` raster px per output px where the artwork
// is largest within the picture. 0 where no part of it is within the picture.
double RasterPxPerMm(const Map<OutputPx, SurfaceMm>& output_from_surface, const PlacedSize& placed,
                     const SurfaceMm& surface_size, SizePx picture, double density);

// Convex outline in output px of the artwork, cut to the surface; empty where they do not meet.
std::vector<Eigen::Vector2d> PicturedOutline(const Map<OutputPx, SurfaceMm>& output_from_surface,
                                             const PlacedSize& placed,
                                             const SurfaceMm& surface_size);

}  // namespace wheatpaste
