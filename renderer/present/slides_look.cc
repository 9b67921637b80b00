#include "present/slides_look.h"

#include <algorithm>

namespace wheatpaste {
namespace {

// The page that type is set for, and how it is divided.
constexpr double kFullWidthMm = 40.0 / 3 * 25.4;
constexpr double kFullHeightMm = 7.5 * 25.4;
constexpr double kColumnShare = 0.19;  // of the width within the margins
constexpr double kGutterMm = 10;
constexpr double kFootMm = 10;  // from the area down to the foot's baseline

}  // namespace

SlideLook::SlideLook(const Theme& theme, SizeMm page)
    : theme_(theme),
      page_(page),
      scale_(std::min(page.width / kFullWidthMm, page.height / kFullHeightMm)) {
  const auto& margins = theme.margins;
  const double inner = page.width - margins.left - margins.right;
  const double height = page.height - margins.top - margins.bottom - Scaled(kFootMm);
  column_ = {margins.left, margins.top, inner * kColumnShare, height};
  const double x = column_.right() + Scaled(kGutterMm);
  area_ = {x, margins.top, page.width - margins.right - x, height};
}

TextStyle SlideLook::Style(const std::string& family, double size_pt, double leading_pt,
                           int most_lines, const Srgb8& colour) const {
  TextStyle style;
  style.family = family;
  style.size_pt = Scaled(size_pt);
  style.leading_pt = Scaled(leading_pt);
  style.most_lines = most_lines;
  style.colour = colour;
  return style;
}

TextStyle SlideLook::Display() const { return Style(theme_.heading_font, 54, 56, 4, theme_.text); }
TextStyle SlideLook::Heading() const {
  return Style(theme_.heading_font, 23, 25.5, 6, theme_.text);
}
TextStyle SlideLook::Name() const {
  TextStyle style = Style(theme_.text_font, 12, 15, 3, theme_.accent);
  style.weight = 600;
  return style;
}
TextStyle SlideLook::Body() const { return Style(theme_.text_font, 10.5, 14, 3, theme_.text); }
TextStyle SlideLook::Label() const { return Style(theme_.text_font, 9, 12, 1, theme_.quiet); }
TextStyle SlideLook::Foot() const { return Style(theme_.text_font, 9, 12, 1, theme_.quiet); }

}  // namespace wheatpaste
