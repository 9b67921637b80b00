#include "brand/letter_rows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace wheatpaste {
namespace {

// Shapes wider than this many times their height are rules, not letters; narrower than this share are strokes, l or 1.
constexpr double kWidestLetter = 2.5, kNarrowestLetter = 0.1;

// Boxes of neighbours overlap by less than this share of the narrower: kerned pairs do, fanned leaves do more.
constexpr double kMostOverlap = 0.3;

struct Letter {
  size_t shape = 0;
  RectPx box;
  double area = 0;
  double height = 0;  // px, to a fraction
  double foot = 0;
};

// Top and foot to a fraction of a px: the outermost row's largest share tells how far the shape reaches into it.
void MeasureUpright(const FlatDrawing& drawing, uint8_t part, Letter& letter) {
  const auto reach = [&](int64_t row) {
    double most = 0;
    for (int64_t x = letter.box.x0; x < letter.box.x1; ++x) {
      most = std::max(most, drawing.ShareOf(part, x, row));
    }
    return most;
  };
  const auto inside = [&](int64_t edge, int64_t beyond) {
    const bool whole = beyond < 0 || beyond >= drawing.size.height;
    return reach(edge) - 1 + (whole ? 0 : reach(beyond));
  };
  const double above = inside(letter.box.y0, letter.box.y0 - 1);
  const double below = inside(letter.box.y1 - 1, letter.box.y1);
  letter.foot = static_cast<double>(letter.box.y1) + below;
  letter.height = static_cast<double>(letter.box.height()) + above + below;
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

bool AllAlike(const std::vector<Letter>& letters) {
  const auto differs = [](double a, double b) { return std::abs(a - b) > kAlike * std::max(a, b); };
  return std::none_of(letters.begin(), letters.end(), [&](const Letter& letter) {
    const Letter& first = letters.front();
    return differs(static_cast<double>(letter.box.width()),
                   static_cast<double>(first.box.width())) ||
           differs(letter.area, first.area);
  });
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

// The rows among the shapes of one part.
std::vector<LetterRow> RowsOf(const FlatDrawing& drawing, uint8_t part, std::vector<Letter> all) {
  std::sort(all.begin(), all.end(), [](const Letter& a, const Letter& b) {
    return std::pair(a.box.x0, a.box.y0) < std::pair(b.box.x0, b.box.y0);
  });
  std::vector<LetterRow> rows;
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
    if (row.size() < size_t{kLeastLetters} || AllAlike(row)) continue;
    rows.push_back(RowOf(drawing, part, row, all));
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
    MeasureUpright(drawing, shape.part, letter);
    of_part[shape.part].push_back(letter);
  }
  std::vector<LetterRow> rows;
  for (size_t part = 0; part < of_part.size(); ++part) {
    for (LetterRow& row : RowsOf(drawing, static_cast<uint8_t>(part), std::move(of_part[part]))) {
      rows.push_back(row);
    }
  }
  std::stable_sort(rows.begin(), rows.end(), [](const LetterRow& a, const LetterRow& b) {
    return a.height_mm < b.height_mm;
  });
  return rows;
}

}  // namespace wheatpaste
