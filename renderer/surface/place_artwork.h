// place_artwork.h - where artwork lies on its surface, and where the picture shows it.
//
// Model   surface_from_artwork: uv to mm by the artwork's printed size, turned clockwise about its
//         centre, the centre at `at`, else at the area's centre. contain: the largest size at which the
//         turned artwork lies within the area; cover: the smallest at which it leaves nothing of the
//         area's bounds bare; stretch: the bounds themselves (for a quarter turn, their sides exchanged),
//         the aspect ratio given up: artwork drawn on a cone's flat blank falls into place so.
#pragma once

#include <array>
#include <vector>

#include "base/rect.h"
#include "geometry/coords.h"
#include "image/pyramid.h"
#include "scene/scene.h"
#include "surface/chart.h"

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
// mm_slack  how near in mm an edge counts as lying on the area's edge.
PlacedSize PlaceArtwork(const Placement& placement, const PrintArea& area, double aspect,
                        double mm_slack);

// On a flat face whose rectangle starts at (0, 0): output px per surface mm where the artwork is largest within
// the picture. 0 where no part of it is within the picture.
double LargestPxPerMm(const Map<OutputPx, SurfaceMm>& output_from_surface,
                      const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                      const SurfaceMm& surface_size, SizePx picture);

// The same face: convex outline in output px of the artwork, cut to the face; empty where they do not meet.
std::vector<Eigen::Vector2d> PicturedOutline(const Map<OutputPx, SurfaceMm>& output_from_surface,
                                             const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                                             const SurfaceMm& surface_size);

}  // namespace wheatpaste
