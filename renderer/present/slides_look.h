// slides_look.h - the layout that all pages of a deck share: a column of words at the left, an area for pictures right of
// it, a line at the foot; and the sizes of type.
//
// Model   type is set for a page 13 1/3 x 7 1/2 in large and scaled with the page. Words and pictures begin at the same
//         height, pictures at the same left edge on every page.
#pragma once

#include <string>

#include "present/page.h"
#include "present/theme.h"

namespace wheatpaste {

class SlideLook {
 public:
  SlideLook(const Theme& theme, SizeMm page);

  const Theme& theme() const { return theme_; }
  const SizeMm& page() const { return page_; }
  // mm that are `at_full_size` on the page that type is set for.
  double Scaled(double at_full_size) const { return at_full_size * scale_; }

  const RectMm& column() const { return column_; }
  const RectMm& area() const { return area_; }

  TextStyle Display() const;  // the deck's title
  TextStyle Heading() const;  // a page's
  TextStyle Name() const;     // what is shown
  TextStyle Body() const;
  TextStyle Label() const;
  TextStyle Foot() const;

 private:
  TextStyle Style(const std::string& family, double size_pt, double leading_pt, int most_lines,
                  const Srgb8& colour) const;

  const Theme& theme_;
  SizeMm page_;
  double scale_;
  RectMm column_, area_;
};

}  // namespace wheatpaste
