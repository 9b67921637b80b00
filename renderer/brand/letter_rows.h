// letter_rows.h - lettering found by its looks: shapes of like height that stand on one line.
//
// Model   at least three shapes of one part whose feet and heights agree within kSameHeight of their height, with less
//         than kWidestGap heights between neighbours, make a row. Shapes that are all alike but for their size (dots, pickets)
//         are no lettering: among them two have to differ by more than kAlike in width or in area. Nor are shapes that a letter encloses, its
//         counters, nor a row of strokes, where none is wider than a quarter of its height or so.
//         Where other shapes of the part stand on the same line and are higher by kAscenders, the row is of lower-case
//         letters and its height the x-height; else of capitals, figures or lower case, which is not told apart.
// Limits  lettering along level lines only; shapes lower than kLeastLetterPx are not read. Live text is met as it is
//         drawn, so its size needs no reading of the file.
// Source  derived here; lettering of known size: tests/brand/letter_rows_test.cc.
#pragma once

#include <vector>

#include "brand/shapes.h"

namespace wheatpaste {

inline constexpr int kLeastLetters = 3;
inline constexpr double kSameHeight = 0.09;
inline constexpr double kWidestGap = 2.0;
inline constexpr double kAlike = 0.06;
inline constexpr double kLowestAscender = 1.22, kHighestAscender = 2.0;
inline constexpr int64_t kLeastLetterPx = 5;

struct LetterRow {
  uint8_t part = 0;
  uint8_t beside = 0;       // the part that is met most around the letters
  double height_mm = 0;     // median of its shapes
  bool lower_case = false;  // then the x-height
  int letters = 0;
  ArtworkUv place;                // foot of its first letter
  ArtworkUv low = {}, high = {};  // bounds of all its letters
};

// returns  the lowest first.
std::vector<LetterRow> FindLetterRows(const FlatDrawing& drawing, const Shapes& shapes);

}  // namespace wheatpaste
