#include "present/page.h"

#include <numbers>

#include <cairo.h>
#include <fmt/format.h>

namespace wheatpaste {
namespace {

void SetColour(cairo_t* context, const Srgb8& colour) {
  cairo_set_source_rgb(context, colour.r / 255.0, colour.g / 255.0, colour.b / 255.0);
}

// Standard structure types of ISO 32000-1, 14.8.4.
const char* NameOf(PageTag::Kind kind) {
  switch (kind) {
    case PageTag::kHeading:
      return "H1";
    case PageTag::kSubheading:
      return "H2";
    case PageTag::kParagraph:
      return "P";
    case PageTag::kFigure:
      return "Figure";
    case PageTag::kCaption:
      return "Caption";
  }
  return "P";
}

}  // namespace

void Page::Fill(const RectMm& rect, const Srgb8& colour) const {
  SetColour(context_, colour);
  cairo_rectangle(context_, rect.x, rect.y, rect.width, rect.height);
  cairo_fill(context_);
}

void Page::FillCircle(double x, double y, double radius, const Srgb8& colour) const {
  SetColour(context_, colour);
  cairo_new_path(context_);
  cairo_arc(context_, x, y, radius, 0, 2 * std::numbers::pi);
  cairo_fill(context_);
}

void Page::Frame(const RectMm& rect, double line_mm, const Srgb8& colour) const {
  SetColour(context_, colour);
  cairo_set_line_width(context_, line_mm);
  cairo_rectangle(context_, rect.x + line_mm / 2, rect.y + line_mm / 2, rect.width - line_mm,
                  rect.height - line_mm);
  cairo_stroke(context_);
}

PageTag::PageTag(const Page& page, Kind kind) : page_(page), kind_(kind) {
  if (page.of_document()) cairo_tag_begin(page.context(), NameOf(kind), nullptr);
}

PageTag::~PageTag() {
  if (page_.of_document()) cairo_tag_end(page_.context(), NameOf(kind_));
}

PageLink::PageLink(const Page& page, size_t target) : page_(page) {
  if (!page.of_document()) return;
  WHEATPASTE_CHECK_OP(target, <, page.number());
  cairo_tag_begin(page.context(), CAIRO_TAG_LINK, fmt::format("page={}", target).c_str());
}

PageLink::~PageLink() {
  if (page_.of_document()) cairo_tag_end(page_.context(), CAIRO_TAG_LINK);
}

}  // namespace wheatpaste
