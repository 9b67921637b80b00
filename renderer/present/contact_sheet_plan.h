// contact_sheet_plan.h - where the pictures of a contact sheet stand: columns, rows, pages. Numbers alone, no drawing.
//
// Model   columns of one width w. In a row every picture stands on one line, its caption below it, at the left edge of its
//         column; none is cut or stretched (groups beside each other have a line each). Pictures may be as high as w / sqrt(a b), a and b the widest and the narrowest
//         shape (width / height): the widest fills its column, and the narrowest then has its area. A group begins with a
//         heading over its columns. Groups that fit beside each other share a row; one that does not begins a row, and a
//         heading is repeated where it goes on on another page.
//         Derived here; the tests check areas, order and edges.
// Units   mm.
#pragma once

#include <cstddef>
#include <vector>

#include "base/rect.h"
#include "present/page.h"

namespace wheatpaste {

struct SheetGrid {
  RectMm area;            // of a page
  double first_head = 0;  // of the first page's area that is taken already
  bool endless = false;   // one page, as high as it must be; the area's height is not looked at
  double column_gap = 0, row_gap = 0;
  double caption = 0;  // below each picture, with the gap above it
  double heading = 0;  // above a group's first row, with the gap below it; 0: no headings
};

struct SheetCell {
  size_t picture = 0;  // of all, in the order of the groups
  RectMm rect;         // of the picture
  double column_x = 0;
};

struct SheetHeading {
  size_t group = 0;
  bool goes_on = false;  // from an earlier page
  double x = 0, top = 0, width = 0;
};

struct SheetPage {
  std::vector<SheetHeading> headings;
  std::vector<SheetCell> cells;
  double bottom = 0;  // of the lowest caption
};

struct SheetPlan {
  size_t columns = 0;
  double column_width = 0;
  std::vector<SheetPage> pages;
};

// groups   of picture sizes, none empty.
// columns  at least 1.
SheetPlan PlanSheet(const std::vector<std::vector<SizePx>>& groups, const SheetGrid& grid,
                    size_t columns);

// The columns that suit the pictures: all on one page and as large as may be; where they are too many for that, about
// `column_mm` wide and with few gaps at the ends of rows.
size_t ColumnsOf(const std::vector<std::vector<SizePx>>& groups, const SheetGrid& grid,
                 double column_mm);

// The columns of `column_mm`, at most `most`, with which one page as high as it must be comes nearest to `shape`, its
// width by its height.
size_t ColumnsOfShape(const std::vector<std::vector<SizePx>>& groups, SheetGrid grid,
                      double column_mm, double shape, size_t most);

}  // namespace wheatpaste
