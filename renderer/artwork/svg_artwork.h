// svg_artwork.h - an SVG as artwork.
//
// Drawing  each band of the raster is drawn `factor` times larger each way (average.h); the factor
// is
//          chosen by size alone: kFineFactor up to kFinePx asked pixels, else kFactor, 1 where a
//          side of the enlarged drawing would pass cairo's 32 767 px.
// Measured (tests/artwork/edges_test.cc; white on black, largest displacement of an edge in asked
// px over
//          20 positions; in brackets without the edge model): see that test's table.
// Bands    each is drawn on its own by a DrawingProcess; one process and thread each up to the
// thread
//          limit. Bits do not depend on bands or threads. librsvg draws opacity, filters and masks
//          through layers as large as the whole enlarged drawing, so drawings that have them use
//          few, large bands.
#pragma once

#include <memory>

#include "artwork/artwork.h"

namespace wheatpaste {

inline constexpr int kFactor = 2;
inline constexpr int kFineFactor = 4;
inline constexpr int64_t kFinePx = 1'000'000;
inline constexpr int64_t kMaxDrawingSidePx = 32'767;

// How a raster is drawn; the defaults are chosen by size. For measurements and tests.
struct DrawingPlan {
  int factor = kFactor;
  int64_t band_rows = 64;  // of the raster that was asked for
  bool edges = true;
};

// base_file  where references to bitmaps beside the SVG start from; "" allows none.
// errors     not well formed, external reference, no size, out of time; at `path`.
Result<std::shared_ptr<const Artwork>> MakeSvgArtwork(Bytes bytes, const Placed<std::string>& path,
                                                      const std::string& colour_description,
                                                      const std::string& base_file);

// Draws with a plan of one's own. `art` must come from MakeSvgArtwork.
Result<Image<LinearPremul>> RasteriseSvg(const Artwork& art, SizePx size, const DrawingPlan& plan);

}  // namespace wheatpaste
