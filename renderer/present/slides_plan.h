// slides_plan.h - which pages a deck has, in their order, before any is drawn.
//
// Model   the title; of each scene a page for every preview, one more for its views (from a distance, with a deficiency
//         of colour vision), then comparisons of two to kMostCompared previews, evenly filled; the colours, apart for
//         each print condition; the index.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "present/preview_set.h"

namespace wheatpaste {

inline constexpr size_t kMostCompared = 6;
inline constexpr size_t kIndexColumns = 2;
inline constexpr size_t kMostColoursAPage = 8;

struct SlidePage {
  enum Kind { kTitle, kPreview, kDistances, kVisions, kComparison, kColours, kIndex } kind = kTitle;
  const PreviewScene* scene = nullptr;
  const Preview* preview = nullptr;        // of kPreview, kDistances, kVisions
  std::vector<const JobRecord*> pictures;  // in the order they stand
  size_t first = 0;       // of kComparison: of the scene's previews; of kIndex: of the rows
  size_t count = 0;       // of kIndex
  std::string condition;  // of kColours
  std::vector<const ColourRecord*> colours;  // of kColours
};

struct IndexRow {
  std::string text;    // empty: a gap
  size_t page = 0;     // from 1
  bool heads = false;  // a scene's title, its pages below it
};

struct SlidePlan {
  std::vector<SlidePage> pages;  // point into the scenes
  std::vector<IndexRow> rows;
};

// scenes  of those pictures that can be shown.
// rows    of a column of the index, at least 2.
SlidePlan PlanSlides(const std::vector<PreviewScene>& scenes, size_t rows);

// `count` things in as few runs of at most `most` as hold them, as even as can be: 7 of at most 6 is 4 and 3.
std::vector<size_t> EvenRuns(size_t count, size_t most);

}  // namespace wheatpaste
