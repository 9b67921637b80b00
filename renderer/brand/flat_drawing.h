// flat_drawing.h - an artwork drawn at a known density and told apart into its flat colours, so that it can be measured.
//
// Model   every pixel v (linear, premultiplied; clear is 0 0 0 0) is one flat colour, or the mixture t a + (1 - t) b of
//         two of them that an edge makes of it: exactly so, as the artwork is drawn in linear light. t is then the share
//         of the pixel's area. a lies within two pixels; b too where that fits, else it is the colour that fits best: a
//         line thinner than a pixel has no pixel of its own.
// Parts   the colours of artwork/main_colours.h, those of fine lettering besides, which are too rare to be among them, and the clear. A pixel belongs to the larger share, but to a thin line
//         (share above kFaintShare) where no pixel near it belongs to that colour more.
// Limits  gradients and pictures are not flat: `unexplained` says how much of the drawing they are. A drawing that is not
//         flat is one part, all of it that is more than half opaque.
// Source  derived here; lines of known width: tests/brand/line_widths_test.cc.
#pragma once

#include <cstdint>
#include <vector>

#include "artwork/artwork.h"
#include "artwork/main_colours.h"
#include "geometry/coords.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int64_t kMostFlatPx = int64_t{8} << 20;
inline constexpr double kMostFlatPxPerMm = 16;  // 0.1 mm is then 1.6 px
inline constexpr double kFaintShare = 0.12;
// Where more of the drawing than this is no flat colour, its parts mean little.
inline constexpr double kMostUnexplained = 0.02;

struct FlatDrawing {
  SizePx size;
  double mm_per_px = 0;             // square px
  std::vector<MainColour> colours;  // by part
  std::vector<uint8_t> part;        // of each pixel; colours.size(): clear
  std::vector<uint8_t> beside;      // what the rest of the pixel is
  std::vector<uint8_t> share;       // of `part`, 0 to 255
  std::vector<int64_t> pixels_of;   // of each part, the clear last
  double unexplained = 0;           // share of pixels

  uint8_t clear() const { return static_cast<uint8_t>(colours.size()); }
  bool is_flat() const { return !colours.empty() && unexplained <= kMostUnexplained; }
  size_t At(int64_t x, int64_t y) const { return static_cast<size_t>(y * size.width + x); }
  // Share of the pixel that is of `wanted`, 0 to 1; beyond the drawing its outermost pixels go on.
  double ShareOf(uint8_t wanted, int64_t x, int64_t y) const;
  // The part that lies under the others: the clear where a fiftieth of the drawing is clear, else the largest.
  uint8_t Ground() const;
};

// placed  printed width and height, mm.
// errors  the artwork cannot be drawn.
Result<FlatDrawing> DrawFlat(const Artwork& artwork, const SurfaceMm& placed,
                             std::vector<MainColour> colours);

// The same drawing with parts counted as one: `joined` names for each part, the clear last, the one it belongs to (itself,
// or one that belongs to itself).
FlatDrawing JoinParts(const FlatDrawing& drawing, const std::vector<uint8_t>& joined);

// The same of a raster that exists.
FlatDrawing TellApart(ImageView<LinearPremul> raster, double mm_per_px,
                      std::vector<MainColour> colours);

}  // namespace wheatpaste
