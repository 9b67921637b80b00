#include "present/contact_sheet_look.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "present/caption.h"

namespace wheatpaste {
namespace {

constexpr double kShortSideMm = 210;
constexpr double kWidthMm = 297;
constexpr double kTitlePt = 26;
constexpr double kFootMm = 9;          // from the area down to the bottom margin
constexpr double kBelowTitleMm = 5.2;  // to the line below it, past letters that hang
constexpr double kBelowHeadMm = 9;

}  // namespace

SheetLook::SheetLook(const Theme& theme, SizeMm page)
    : theme_(theme),
      page_(page),
      scale_(std::clamp(std::min(page.width, page.height) / kShortSideMm, 0.5, 1.4)),
      title_scale_(std::clamp(page.width / kWidthMm, 0.6, 3.0)) {
  const auto& margins = theme.margins;
  area_ = {margins.left, margins.top, page.width - margins.left - margins.right,
           page.height - margins.top - margins.bottom - Scaled(kFootMm)};
}

SheetLook SheetLook::WithHeight(double height_mm) const {
  SheetLook look = *this;
  look.area_.height += height_mm - page_.height;
  look.page_.height = height_mm;
  return look;
}

TextStyle SheetLook::Style(const std::string& family, double size_pt, double leading_pt,
                           const Srgb8& colour) const {
  TextStyle style;
  style.family = family;
  style.size_pt = scale_ * size_pt;
  style.leading_pt = scale_ * leading_pt;
  style.colour = colour;
  return style;
}

TextStyle SheetLook::Title() const {
  TextStyle style = Style(theme_.heading_font, kTitlePt, kTitlePt, theme_.text);
  style.size_pt = kTitlePt * title_scale_;
  style.leading_pt = 1.1 * style.size_pt;
  style.most_lines = 2;
  return style;
}
TextStyle SheetLook::Subtitle() const {
  TextStyle style = Style(theme_.text_font, 9, 12, theme_.quiet);
  style.most_lines = 2;
  return style;
}
TextStyle SheetLook::Heading() const { return Style(theme_.heading_font, 14, 16, theme_.text); }
TextStyle SheetLook::Name() const { return Style(theme_.text_font, 8, 10, theme_.text); }
TextStyle SheetLook::Body() const { return Style(theme_.text_font, 9, 12.5, theme_.text); }
TextStyle SheetLook::Facts() const { return Style(theme_.text_font, 7, 9, theme_.quiet); }
TextStyle SheetLook::Foot() const { return Style(theme_.text_font, 7.5, 10, theme_.quiet); }

Srgb8 SheetLook::line() const {
  const auto mix = [](uint8_t a, uint8_t b) {
    return static_cast<uint8_t>(std::lround(0.7 * a + 0.3 * b));
  };
  const Srgb8 &ground = theme_.ground, &quiet = theme_.quiet;
  return {mix(ground.r, quiet.r), mix(ground.g, quiet.g), mix(ground.b, quiet.b)};
}

void DrawSheetGround(const Page& page, const SheetLook& look, const std::string& title,
                     size_t number, size_t pages) {
  page.Fill({0, 0, look.page().width, look.page().height}, look.theme().ground);
  const RectMm& area = look.area();
  TextStyle style = look.Foot();
  const double third = area.width / 3;
  const double top =
      look.page().height - look.theme().margins.bottom - PageText(page, "0", style, third).height();
  const PageTag tag(page, PageTag::kParagraph);
  const std::string words =
      look.theme().footer.empty() ? title : title + "; " + look.theme().footer;
  DrawText(page, words, style, area.x, top, third - look.Scaled(4));
  style.align = TextStyle::kCentre;
  DrawText(page, kNotAProof, style, area.x + third, top, third);
  if (pages == 1) return;
  style.align = TextStyle::kRight;
  style.tabular = true;
  const std::string place =
      pages == 0 ? std::to_string(number) : fmt::format("{} / {}", number, pages);
  DrawText(page, place, style, area.x + 2 * third, top, third);
}

double DrawSheetTitle(const Page* page, const Page& ruler, const SheetLook& look,
                      const std::string& title, const std::string& below) {
  const RectMm& area = look.area();
  const double gap = look.Title().size_pt / kTitlePt * kBelowTitleMm;
  const PageText head(page != nullptr ? *page : ruler, title, look.Title(), area.width);
  const PageText facts(page != nullptr ? *page : ruler, below, look.Subtitle(), area.width);
  if (page != nullptr) {
    const PageTag tag(*page, PageTag::kHeading);
    head.Draw(area.x, area.y);
  }
  if (page != nullptr) {
    const PageTag tag(*page, PageTag::kParagraph);
    facts.Draw(area.x, area.y + head.height() + gap);
  }
  return head.height() + gap + facts.height() + look.Scaled(kBelowHeadMm);
}

}  // namespace wheatpaste
