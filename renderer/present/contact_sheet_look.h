// contact_sheet_look.h - the layout that the pages of contact sheets share: an area within the theme's margins, a title
// above it, a line at the foot; and the sizes of type.
//
// Model   type is set for a page whose shorter side is 210 mm and scaled with it, within limits; titles with the width.
#pragma once

#include <string>

#include "present/page.h"
#include "present/theme.h"

namespace wheatpaste {

class SheetLook {
 public:
  SheetLook(const Theme& theme, SizeMm page);

  // The same type on a page of another height.
  SheetLook WithHeight(double height_mm) const;

  const Theme& theme() const { return theme_; }
  const SizeMm& page() const { return page_; }
  const RectMm& area() const { return area_; }  // between the margins, above the foot
  double Scaled(double mm) const { return mm * scale_; }

  TextStyle Title() const;
  TextStyle Subtitle() const;  // below the title
  TextStyle Heading() const;
  TextStyle Name() const;
  TextStyle Body() const;
  TextStyle Facts() const;
  TextStyle Foot() const;
  Srgb8 line() const;  // of rules and frames: between ground and quiet

 private:
  TextStyle Style(const std::string& family, double size_pt, double leading_pt,
                  const Srgb8& colour) const;

  Theme theme_;
  SizeMm page_;
  double scale_, title_scale_;
  RectMm area_;
};

// The ground and the line at the foot: title, "visualisation, not a proof", the theme's words, the page's number.
// pages  0: not known yet; of one page no number is written.
void DrawSheetGround(const Page& page, const SheetLook& look, const std::string& title,
                     size_t number, size_t pages);

// The title at the top of the area and a line below it; returns the height that both take, with the gap below. Null page:
// only measured, on `ruler`.
double DrawSheetTitle(const Page* page, const Page& ruler, const SheetLook& look,
                      const std::string& title, const std::string& below);

}  // namespace wheatpaste
