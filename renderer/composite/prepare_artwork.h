// prepare_artwork.h - one placement's artwork, drawn for one prepared scene and ready to be looked up.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "artwork/artwork.h"
#include "composite/prepare_scene.h"
#include "image/pyramid.h"
#include "surface/place_artwork.h"

namespace wheatpaste {

// Artwork by the name a placement uses: a slot, or a file as written in the scene.
using ArtworkByName = std::map<std::string, std::shared_ptr<const Artwork>>;

// More raster px than this are not drawn for one placement (1 GiB): density gives way.
inline constexpr int64_t kMostRasterPx = int64_t{64} << 20;

struct PreparedArtwork {
  size_t placement = 0;  // index into Scene::placements
  PlacedSize placed;
  std::vector<Eigen::Vector2d> outline;    // convex, output px; empty: not in the picture
  std::shared_ptr<const Pyramid> pyramid;  // none where the outline is empty
  Map<ArtworkPx, OutputPx> artwork_from_output;
  double raster_px_per_output_px = 0;  // at the place where the artwork is largest
};

// The size and place of every placement, without drawing: what `check` needs.
PlacedSize PlacedSizeOf(const SolvedScene& solved, const Placement& placement,
                        const Artwork& artwork);

// Draws the artwork of every placement. Placements that show the same artwork at the same density share
// one raster.
// errors  artwork that cannot be drawn.
// Expects every name that a placement uses to be in `artworks`.
Result<std::vector<PreparedArtwork>> PrepareArtworks(const PreparedScene& prepared,
                                                     const ArtworkByName& artworks);

}  // namespace wheatpaste
