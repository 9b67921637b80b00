// prepare_artwork.h - one placement's artwork, drawn for one prepared scene and ready to be looked up.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "artwork/artwork.h"
#include "composite/contact.h"
#include "composite/finish.h"
#include "composite/prepare_scene.h"
#include "image/pyramid.h"
#include "ink/apply_ink.h"
#include "surface/artwork_spans.h"
#include "surface/place_artwork.h"

namespace wheatpaste {

// Artwork by the name a placement uses: a slot, or a file as written in the scene; masks of finishes by
// MaskNameOf.
using ArtworkByName = std::map<std::string, std::shared_ptr<const Artwork>>;

// Where a placement shows on one chart of its surface.
struct ArtworkPiece {
  size_t chart = 0;  // index into PreparedSurface::charts
  Map<ArtworkPx, SurfaceMm> artwork_from_surface;
  std::optional<Map<ArtworkPx, OutputPx>>
      artwork_from_output;  // where the chart's picture is projective
  std::vector<Span> rows;   // of the chart's region
  Contact contact;          // where the placement is a sheet
};

struct PreparedArtwork {
  size_t placement = 0;  // index into Scene::placements
  PlacedSize placed;     // on the face, or on the faces laid flat side by side
  SizePx raster;         // of the whole artwork, at the density that the picture asks for
  // As printed light (ink/ink_table.h), or the artwork itself where the ink is plain; none where there are no pieces.
  std::shared_ptr<const Pyramid> pyramid;
  std::shared_ptr<const Pyramid>
      cover;  // what a film of ink returns itself, where it hides anything
  InkWeights weights;
  std::shared_ptr<const Pyramid> slopes;  // of its wrinkles (wrinkle.h), where it has any
  std::shared_ptr<const PreparedFinishes> finishes;  // where it has any
  std::vector<ArtworkPiece> pieces;                  // none: not in the picture
  double raster_px_per_output_px = 0;                // at the place where the artwork is largest
  bool in_sight() const { return !pieces.empty(); }
};

// The flat area that a placement lies on, and how its faces lie in it.
struct PlacedArea {
  PrintArea area;
  std::vector<size_t> faces;                              // indices into FittedSurface::faces
  std::vector<Map<SurfaceMm, SurfaceMm>> area_from_face;  // one for each
};
PlacedArea AreaOf(const FittedSurface& surface, const Placement& placement);

// Faces that it lies on, as users call them: "carton.front"; of a surface without named faces its own name.
std::vector<std::string> SurfaceNamesOf(const Scene& scene, const Placement& placement);

// The size and place of every placement, without drawing: what `check` needs.
PlacedSize PlacedSizeOf(const SolvedScene& solved, const Placement& placement,
                        const Artwork& artwork);

// Draws the artwork of every placement whole (ArtworkDrawer). Placements that show the same artwork at the same density share
// one raster.
// errors  artwork that cannot be drawn.
// Expects every name that a placement uses to be in `artworks`.
Result<std::vector<PreparedArtwork>> PrepareArtworks(const PreparedScene& prepared,
                                                     const ArtworkByName& artworks);

}  // namespace wheatpaste
