// edge_distances.h - how near the shapes of a placed artwork come to edges and creases, and how far they go beyond them.
//
// Model   a shape is a connected shape of the drawing that is not clear. It crosses an edge where some of it lies on the
//         edge or beyond; then its bleed counts. What does not cross comes as near as its nearest pixel, less half a
//         pixel. Bleed: along each edge that is not shared, wherever the artwork is drawn just within it, how far outwards
//         it goes on; a run of such places has the bleed of its deepest, an edge that of its shallowest run.
// Units   mm; to a pixel of the drawing.
// Source  derived here: tests/brand/edge_distances_test.cc.
#pragma once

#include <array>
#include <optional>

#include "brand/flat_face.h"
#include "brand/shapes.h"

namespace wheatpaste {

inline constexpr double kLeastBleedMm = 3;
inline constexpr double kLeastEdgeMm = 3;
inline constexpr double kBleedSlackMm = 0.1;  // what counts as that much all the same

struct EdgeDistances {
  // Smallest distance of a shape that crosses no edge of that kind; none where there is none of them.
  struct Nearest {
    double mm = 0;
    SurfaceMm place;  // of that pixel
  };
  std::optional<Nearest> trim, crease, seam;
  double any = 0;               // of anything drawn, 0 where it crosses
  std::optional<double> bleed;  // smallest; none where nothing reaches an edge
  EdgeKind bleed_kind = EdgeKind::kTrim;
};

// Expects a face with edges.
EdgeDistances MeasureEdges(const FlatDrawing& drawing, const Shapes& shapes,
                           const Map<SurfaceMm, ArtworkUv>& area_from_artwork,
                           const FlatFace& face);

}  // namespace wheatpaste
