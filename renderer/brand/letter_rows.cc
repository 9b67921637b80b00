#include "brand/letter_rows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <map>
#include <optional>

namespace wheatpaste {
namespace {

// Shapes wider than this many times their height are rules, not letters; narrower than this share are strokes, l or 1.
constexpr double kWidestLetter = 2.5, kNarrowestLetter = 0.1;
// Where none is wider than this they are stalks, not letters.
constexpr double kNarrowestWord = 0.28;

// Widths are told to about this, areas to this along the height.
constexpr double kSidePx = 0.25;

// Boxes of neighbours overlap by less than this share of the narrower: kerned pairs do, fanned leaves do more.
constexpr double kMostOverlap = 0.3;

struct Letter {
  size_t shape = 0;
  RectPx box;
  double area = 0;
  double height = 0, width = 0;  // px, to a fraction
  double foot = 0;
};

// Sides to a fraction of a px: the outermost line's largest share tells how far the shape reaches into it.
void MeasureSides(const FlatDrawing& drawing, uint8_t part, Letter& letter) {
  const RectPx& box = letter.box;
  // What counts of the pixel at the edge, and of the one beyond it; `at` gives the share on their line.
  const auto inside = [](int64_t from, int64_t to, int64_t edge, int64_t beyond, int64_t size,
                         const auto& at) {
    const auto reach = [&](int64_t line) {
      double most = 0;
      for (int64_t i = from; i < to; ++i) most = std::max(most, at(i, line));
      return most;
    };
    const bool whole = beyond < 0 || beyond >= size;
    return reach(edge) - 1 + (whole ? 0 : reach(beyond));
  };
  const auto row = [&](int64_t x, int64_t y) { return drawing.ShareOf(part, x, y); };
  const auto column = [&](int64_t y, int64_t x) { return drawing.ShareOf(part, x, y); };
  const SizePx& size = drawing.size;
  const double above = inside(box.x0, box.x1, box.y0, box.y0 - 1, size.height, row);
  const double below = inside(box.x0, box.x1, box.y1 - 1, box.y1, size.height, row);
  const double left = inside(box.y0, box.y1, box.x0, box.x0 - 1, size.width, column);
  const double right = inside(box.y0, box.y1, box.x1 - 1, box.x1, size.width, column);
  letter.foot = static_cast<double>(box.y1) + below;
  letter.height = static_cast<double>(box.height()) + above + below;
  letter.width = static_cast<double>(box.width()) + left + right;
}

bool StandTogether(const Letter& a, const Letter& b) {
  const double height = std::max(a.height, b.height);
  const double overlap = static_cast<double>(a.box.x1 - b.box.x0);
  if (overlap > kMostOverlap * static_cast<double>(std::min(a.box.width(), b.box.width()))) {
    return false;
  }
  return std::abs(a.height - b.height) <= kSameHeight * height + 0.5 &&
         std::abs(a.foot - b.foot) <= kSameHeight * height + 0.5 &&
         static_cast<double>(b.box.x0 - a.box.x1) <= kWidestGap * height;
}

bool AllNarrow(const std::vector<Letter>& letters) {
  return std::all_of(letters.begin(), letters.end(), [](const Letter& letter) {
    return letter.width < kNarrowestWord * letter.height;
  });
}

// But for their size: dots that grow along a curve are no lettering.
bool AllAlike(const std::vector<Letter>& letters) {
  const auto differs = [](double a, double b, double px) {
    return std::abs(a - b) > kAlike * std::max(a, b) + px;
  };
  const Letter& first = letters.front();
  return std::none_of(letters.begin(), letters.end(), [&](const Letter& letter) {
    const double scale = letter.height / first.height;
    return differs(letter.width, scale * first.width, kSidePx) ||
           differs(letter.area, scale * scale * first.area, kSidePx * letter.height);
  });
}

// The shape that lies all around another; none where several do, or the drawing ends there.
std::optional<size_t> Around(const FlatDrawing& drawing, const Shapes& shapes,
                             const Letter& letter) {
  const auto at = [&](int64_t x, int64_t y) {
    return static_cast<size_t>(shapes.shape_at[drawing.At(x, y)]);
  };
  const RectPx& box = letter.box;
  if (box.x0 == 0 || box.y0 == 0 || box.x1 == drawing.size.width || box.y1 == drawing.size.height) {
    return {};
  }
  std::map<size_t, int64_t> met;
  int64_t all = 0;
  for (int64_t y = box.y0; y < box.y1; ++y) {
    for (int64_t x = box.x0; x < box.x1; ++x) {
      if (at(x, y) != letter.shape) continue;
      for (const size_t other : {at(x - 1, y), at(x + 1, y), at(x, y - 1), at(x, y + 1)}) {
        if (other == letter.shape) continue;
        ++met[other];
        ++all;
      }
    }
  }
  // Mixed pixels of an edge may count as a third colour.
  constexpr double kNearlyAll = 0.8;
  for (const auto& [shape, count] : met) {
    const RectPx& around = shapes.shapes[shape].bounds;
    if (static_cast<double>(count) > kNearlyAll * static_cast<double>(all) && around.x0 < box.x0 &&
        around.x1 > box.x1 && around.y0 < box.y0 && around.y1 > box.y1) {
      return shape;
    }
  }
  return {};
}

uint8_t PartAround(const FlatDrawing& drawing, uint8_t part, const std::vector<Letter>& letters) {
  std::map<uint8_t, int64_t> met;
  for (const Letter& letter : letters) {
    for (int64_t y = letter.box.y0; y < letter.box.y1; ++y) {
      for (int64_t x = letter.box.x0; x < letter.box.x1; ++x) {
        const uint8_t other = drawing.part[drawing.At(x, y)];
        if (other != part) ++met[other];
      }
    }
  }
  if (met.empty()) return drawing.Ground();
  return std::max_element(met.begin(), met.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

// Do higher shapes stand on the row's line, within its reach?
bool HasAscenders(const std::vector<Letter>& row, const std::vector<Letter>& all, double height) {
  const int64_t left = row.front().box.x0, right = row.back().box.x1;
  return std::any_of(all.begin(), all.end(), [&](const Letter& other) {
    return other.height >= kLowestAscender * height && other.height <= kHighestAscender * height &&
           std::abs(other.foot - row.front().foot) <= kSameHeight * height + 0.5 &&
           static_cast<double>(other.box.x1) >= static_cast<double>(left) - kWidestGap * height &&
           static_cast<double>(other.box.x0) <= static_cast<double>(right) + kWidestGap * height;
  });
}

LetterRow RowOf(const FlatDrawing& drawing, uint8_t part, const std::vector<Letter>& letters,
                const std::vector<Letter>& all) {
  std::vector<double> heights;
  for (const Letter& letter : letters) heights.push_back(letter.height);
  const auto middle = heights.begin() + static_cast<int64_t>(heights.size() / 2);
  std::nth_element(heights.begin(), middle, heights.end());
  const auto uv = [&](int64_t x, int64_t y) {
    return ArtworkUv{static_cast<double>(x) / static_cast<double>(drawing.size.width),
                     static_cast<double>(y) / static_cast<double>(drawing.size.height)};
  };
  RectPx box = letters.front().box;
  for (const Letter& letter : letters) {
    box.y0 = std::min(box.y0, letter.box.y0);
    box.y1 = std::max(box.y1, letter.box.y1);
    box.x1 = std::max(box.x1, letter.box.x1);
  }
  return {part,
          PartAround(drawing, part, letters),
          *middle * drawing.mm_per_px,
          HasAscenders(letters, all, *middle),
          static_cast<int>(letters.size()),
          {static_cast<double>(letters.front().box.x0) / static_cast<double>(drawing.size.width),
           letters.front().foot / static_cast<double>(drawing.size.height)},
          uv(box.x0, box.y0),
          uv(box.x1, box.y1)};
}

// The rows among the shapes of one part, all of which are given.
std::vector<std::vector<Letter>> RowsOf(std::vector<Letter>& all) {
  std::sort(all.begin(), all.end(), [](const Letter& a, const Letter& b) {
    return std::pair(a.box.x0, a.box.y0) < std::pair(b.box.x0, b.box.y0);
  });
  std::vector<std::vector<Letter>> rows;
  std::vector<bool> taken(all.size());
  for (size_t i = 0; i < all.size(); ++i) {
    if (taken[i]) continue;
    std::vector<Letter> row{all[i]};
    taken[i] = true;
    for (size_t j = i + 1; j < all.size(); ++j) {
      // Heights are held against the first, so that a row cannot climb letter by letter.
      if (taken[j] || !StandTogether(row.back(), all[j])) continue;
      if (std::abs(all[j].height - row.front().height) > kSameHeight * row.front().height + 0.5) {
        continue;
      }
      row.push_back(all[j]);
      taken[j] = true;
    }
    if (row.size() < size_t{kLeastLetters} || AllAlike(row) || AllNarrow(row)) continue;
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace

std::vector<LetterRow> FindLetterRows(const FlatDrawing& drawing, const Shapes& shapes) {
  const uint8_t ground = drawing.Ground();
  std::vector<std::vector<Letter>> of_part(drawing.colours.size() + 1);
  for (size_t i = 0; i < shapes.shapes.size(); ++i) {
    const ConnectedShape& shape = shapes.shapes[i];
    if (shape.part == ground || shape.part == drawing.clear()) continue;
    if (shape.bounds.height() < kLeastLetterPx) continue;
    const double wide =
        static_cast<double>(shape.bounds.width()) / static_cast<double>(shape.bounds.height());
    if (wide > kWidestLetter || wide < kNarrowestLetter) continue;
    Letter letter{i, shape.bounds, static_cast<double>(shape.pixels)};
    MeasureSides(drawing, shape.part, letter);
    of_part[shape.part].push_back(letter);
  }
  std::vector<std::vector<std::vector<Letter>>> rows_of;
  std::vector<bool> is_letter(shapes.shapes.size());
  for (std::vector<Letter>& all : of_part) {
    rows_of.push_back(RowsOf(all));
    for (const auto& row : rows_of.back()) {
      for (const Letter& letter : row) is_letter[letter.shape] = true;
    }
  }
  std::vector<LetterRow> rows;
  for (size_t part = 0; part < of_part.size(); ++part) {
    for (const std::vector<Letter>& row : rows_of[part]) {
      // What letters enclose are their counters.
      std::vector<Letter> letters;
      std::copy_if(row.begin(), row.end(), std::back_inserter(letters), [&](const Letter& letter) {
        const auto around = Around(drawing, shapes, letter);
        return !around || !is_letter[*around];
      });
      if (letters.size() < size_t{kLeastLetters} || AllAlike(letters)) continue;
      rows.push_back(RowOf(drawing, static_cast<uint8_t>(part), letters, of_part[part]));
    }
  }
  std::stable_sort(rows.begin(), rows.end(), [](const LetterRow& a, const LetterRow& b) {
    return a.height_mm < b.height_mm;
  });
  return rows;
}

}  // namespace wheatpaste
