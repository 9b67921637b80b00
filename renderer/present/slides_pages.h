// slides_pages.h - the drawing of each kind of page of a deck.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "present/jpeg_picture.h"
#include "present/page.h"
#include "present/page_picture.h"
#include "present/slides_look.h"
#include "present/slides_plan.h"

namespace wheatpaste {

// What a page needs to know of the deck.
struct Deck {
  const SlideLook& look;
  const SlidePlan& plan;
  const std::vector<PreviewScene>& scenes;
  std::string title;
  const PageLogo* logo = nullptr;  // none: null
  std::function<const JpegPicture&(const JobRecord&)> picture_of;
};

// Ground, words at the foot, and what `what` shows.
void DrawSlide(const Page& page, const Deck& deck, const SlidePage& what);

// How many rows a column of the index has room for.
size_t IndexRows(const SlideLook& look);

// Of `count` pictures of one shape, `aspect` wide for its height, the columns that make them largest in `area`.
// gaps  between columns and rows; caption below each, mm.
struct GridGaps {
  double column = 0, row = 0, caption = 0;
};
size_t ColumnsFor(size_t count, double aspect, const RectMm& area, const GridGaps& gaps);

// The parts of the deck in files of their own.
void DrawTitlePage(const Page& page, const Deck& deck);
void DrawColoursPage(const Page& page, const Deck& deck, const SlidePage& what);
void DrawIndexPage(const Page& page, const Deck& deck, const SlidePage& what);

// Words in the column, from the top down.
class ColumnText {
 public:
  ColumnText(const Page& page, const SlideLook& look) : page_(page), look_(look) {}
  void Heading(const std::string& text);
  void Name(const std::string& text);
  void Part(const std::string& label, const std::vector<std::string>& values);
  void Paragraph(const std::string& text, int most_lines);
  // Small, the last line at `bottom` (mm from the page's top), lower where the words above need the room.
  void Notes(const std::vector<std::string>& texts, double bottom);

 private:
  // Nothing where the column is full.
  void Add(const std::string& text, const TextStyle& style, double gap_mm);
  const Page& page_;
  const SlideLook& look_;
  double below_ = 0;  // of what is drawn so far, from the column's top
};

}  // namespace wheatpaste
