// sheet.h - a picture on its sheet: ground, bleed, crop marks; rows of the whole canvas.
//
// Model   the canvas is the sheet with its bleed; with crop marks, that and a white margin all around:
//
//             |  |              marks: kMarkLengthMm long, 0.25 pt wide (at least 1 px), kMarkGapMm off the bleed,
//          --+----+--           their inner edge on the line of the cut, so that none is left on the trimmed sheet
//            |    |
//          --+----+--
//             |  |
//
//         Around the picture, as far as the bleed goes, lies the ground.
// Colours of the file: paper is the profile's white (CMYK: no ink); marks are black (RGB: 0; CMYK: all four inks
//         in full, so that each plate has them); the ground is converted through the profile, white to paper.
// Source  common practice of printers, no standard stated: mark, gap and margin are ours.
// Memory  the rows that were asked for.
#pragma once

#include <optional>
#include <vector>

#include "base/rect.h"
#include "base/units.h"
#include "colour/profile.h"
#include "colour/srgb.h"
#include "output/write_picture.h"

namespace wheatpaste {

inline constexpr double kMarkLengthMm = 5;
inline constexpr double kMarkGapMm = 2;
inline constexpr double kMarkWidthPoints = 0.25;
// White beyond the marks.
inline constexpr double kMarkMarginMm = 1;

struct SheetLayout {
  SizePx canvas;
  RectPx bleed;  // on the canvas; holds the other two
  RectPx trim, picture;
  std::vector<RectPx> marks;  // outside the bleed
};

// with_bleed   the sheet and its bleed; trim and picture in px from its outer corner.
// marks        px per inch, which says how large crop marks are; none: no marks.
SheetLayout LayOutSheet(SizePx with_bleed, const RectPx& trim, const RectPx& picture,
                        std::optional<Ppi> marks);

// The rows of a laid-out sheet.
class SheetRows {
 public:
  // depth    8 or 16, of `picture` and of the canvas.
  // profile  RGB or CMYK, of both.
  // picture  its rows, asked for in order.
  SheetRows(SheetLayout layout, int depth, const Profile& profile, const Srgb8& ground,
            RowSource picture);

  // Rows [y0, y1) of the canvas, tightly packed, valid until the next call.
  const uint8_t* Rows(int64_t y0, int64_t y1);

 private:
  void Fill(const RectPx& rect, int64_t y, const Bytes& pixel, uint8_t* row) const;

  SheetLayout layout_;
  RowSource picture_;
  Bytes paper_, mark_, ground_;  // one pixel each
  Bytes band_;
};

}  // namespace wheatpaste
