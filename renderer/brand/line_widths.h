// line_widths.h - the thinnest line of each part of a drawing, whether stroked or outlined, and the thinnest gap.
//
// Model   along the medial axis of each shape (the ridge of its distance from its edge) the width is the shortest chord:
//         the integral of the part's share of each pixel along 16 directions, so that a line thinner than a pixel is
//         measured by what it covers. A place counts as line where the width changes by less than kMostTaper of the way
//         along the axis, over a width there and back: ends, corners, serifs' points and dots are no lines.
//         The width of a shape is the one that at least kLeastLength of its axis, or a twentieth of it where that is
//         shorter, and never less than five pixels, keeps within; that of a part is its thinnest shape's.
// Error   lines of 0.1 to 1 mm and rings, at any angle: within 0.02 mm at 16 px per mm and 0.03 mm at 8
//         (tests/brand/line_widths_test.cc).
// Source  derived here; medial axis: H. Blum 1967, in Models for the Perception of Speech and Visual Form, 362-380.
#pragma once

#include <optional>
#include <vector>

#include "brand/shapes.h"

namespace wheatpaste {

// In letters lower than this strokes are too short to be followed: their lines are then not known.
inline constexpr double kLeastFollowedLetterPx = 8;
// Wider ones are shapes: nobody asks whether they print.
inline constexpr double kWidestLinePx = 32;
inline constexpr double kMostTaper = 0.1;
inline constexpr double kLeastLengthMm = 1;
inline constexpr double kLeastLengthShare = 0.05;

struct ThinLine {
  double width_mm = 0;
  uint8_t beside = 0;  // the part on its sides
  ArtworkUv place;     // somewhere on it
};

// returns  of each part, the clear last; none where it has no line.
std::vector<std::optional<ThinLine>> ThinnestLines(const FlatDrawing& drawing,
                                                   const Shapes& shapes);

}  // namespace wheatpaste
