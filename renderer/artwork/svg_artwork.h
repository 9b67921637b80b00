// svg_artwork.h - an SVG as artwork.
//
// Drawing  each band of the raster is drawn `factor` times larger each way (average.h): 4 up to
//          1 Mpx asked, 3 up to 16 Mpx, else 2; with layers (below) less where a side of the whole
//          drawing would pass cairo's 32 767 px.
// Parts    only the bands that a part touches are drawn, all columns of them up to kMaxDrawingSidePx,
//          tile by tile where there are more. The whole drawing may be half as large as cairo's
//          coordinates (24 bits and 8 of fraction) reach: kMaxWholeDrawingPx; the rest is left for
//          what sticks out.
// Measured largest displacement of an upright edge, white on black, over 20 positions within a
//          pixel, and largest error of the width of a line over 20 positions at 0, 7, 30 and 45
//          degrees, light on dark and dark on light, all in asked px; in brackets the same without
//          the edge model (tests/artwork/edges_test.cc prints the table):
//            factor    edge             line of 1 px     line of 0.5 px   line of 0.25 px
//              2     0.002 (0.142)     0.011 (0.288)     0.29  (0.29)      0.23 (0.23)
//              3     0.002 (0.095)     0.006 (0.192)     0.15  (0.15)      0.19 (0.19)
//              4     0.001 (0.069)     0.004 (0.138)     0.004 (0.14)      0.14 (0.14)
//          A line narrower than a drawn pixel never reaches its own colour, so no model can tell
//          it. Outlined 4 pt lettering, white on black and black on white, holds this share of the
//          ink that 16 x 16 samples of coverage give, and differs by this root mean square:
//            factor    150 px an inch         300 px an inch         600 px an inch
//              2     0.879, 1.098; 0.035    0.998, 1.001; 0.005    1.000, 1.001; 0.003
//              3     0.988, 1.007; 0.008    0.998, 0.999; 0.003    1.000, 1.000; 0.002
//              4     0.998, 1.001; 0.002    1.001, 1.001; 0.002    1.000, 1.000; 0.001
// Bands    each is drawn on its own by a DrawingProcess; one process and thread each up to the
//          thread limit. The raster's own size decides where it is cut into bands (and columns), so
//          bits do not depend on threads or on the part. Plain drawings are recorded once and played
//          back for each band. Others use larger bands, as every band walks all paths; librsvg draws
//          opacity, filters and masks through layers as large as the whole enlarged drawing, so
//          drawings that have them use the largest.
#pragma once

#include <memory>

#include "artwork/artwork.h"
#include "artwork/recolour.h"

namespace wheatpaste {

inline constexpr int64_t kMaxDrawingSidePx = 32'767;  // of what is drawn at once, and of a part
inline constexpr int64_t kMaxWholeDrawingPx = int64_t{1} << 22;

// How a raster is drawn; the defaults are chosen by size. For measurements and tests.
struct DrawingPlan {
  int factor = 2;
  int64_t band_rows = 64;  // of the raster that was asked for
  bool edges = true;
  bool recorded = true;  // where the drawing allows it (drawing_process.h)
};

// base_file    where references to bitmaps beside the SVG start from; "" allows none.
// recolouring  of its colours; empty: as drawn.
// errors       not well formed, external reference, no size, out of time; a colour that is lacking; at
//              `path`.
Result<std::shared_ptr<const Artwork>> MakeSvgArtwork(Bytes bytes, const Placed<std::string>& path,
                                                      const std::string& colour_description,
                                                      const std::string& base_file,
                                                      const Recolouring& recolouring = {});

// Draws with a plan of one's own. `art` must come from MakeSvgArtwork.
Result<Image<LinearPremul>> RasteriseSvg(const Artwork& art, SizePx size, const DrawingPlan& plan);

}  // namespace wheatpaste
