// place_rules.h - has a mark its clear space, does it keep away from edges and creases, does it bleed?
//
// Clear space  smallest distance of what is drawn, mm, to the other placements on its faces (upright bounds of what either
//              draws, in its own directions), to edges and to creases; 0 where it crosses. Expected: the scene's
//              `clear_space` times the height of what is drawn, or `clear_space_mm`; without them it is not judged.
// Edges        what does not cross an edge or crease keeps kLeastEdgeMm from it (edge_distances.h).
// Bleed        what reaches an edge goes on kLeastBleedMm beyond it.
// Source       3 mm: common practice (A4 with 3 mm of bleed is 2551 x 3579 px at 300 ppi, as in print-size tables).
#pragma once

#include <array>
#include <vector>

#include "brand/edge_distances.h"
#include "brand/finding.h"

namespace wheatpaste {

// What a placement draws on one face, as four corners in turn, mm of that face.
struct DrawnBounds {
  size_t placement = 0;
  size_t surface = 0, face = 0;
  std::array<Eigen::Vector2d, 4> corners;
};

// Bounds of what is not clear, in uv; none where nothing is drawn.
struct UvBounds {
  ArtworkUv low, high;
};
std::optional<UvBounds> BoundsOfDrawn(const FlatDrawing& drawing);

// On each face of the placement.
std::vector<DrawnBounds> BoundsOnFaces(const SolvedScene& solved, size_t placement,
                                       const UvBounds& bounds,
                                       const Map<SurfaceMm, ArtworkUv>& area_from_artwork);

// 0 where they overlap.
double DistanceBetween(const std::array<Eigen::Vector2d, 4>& a,
                       const std::array<Eigen::Vector2d, 4>& b);

// edges     none where the surface has none.
// own, all  bounds of this placement, and of every one.
// height_mm of what is drawn.
Finding CheckClearSpace(const Placement& placement, const std::optional<EdgeDistances>& edges,
                        const std::vector<DrawnBounds>& own, const std::vector<DrawnBounds>& all,
                        double height_mm);

// is_vector  the artwork is a drawing: what it draws beyond its page is not seen, so a page that ends at the edge leaves
//            open whether it bleeds.
Findings CheckEdges(const EdgeDistances& edges, bool is_vector);

}  // namespace wheatpaste
