#include "present/slides_pages.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/units.h"
#include "present/caption.h"
#include "present/slides_caption.h"

namespace wheatpaste {
namespace {

constexpr size_t kMostWarnings = 2;
constexpr int kLinesANote = 6;
constexpr double kNoteGapMm = 3.4;

// A minute of arc: what a px of a picture from a distance stands for (composite/view_distance.h).
const double kTangentOfMinute = std::tan(RadFromDegrees(1.0 / 60).value);
constexpr double kReadingMm = 600;  // of a page on the table or the desk

void DrawFoot(const Page& page, const Deck& deck) {
  const SlideLook& look = deck.look;
  TextStyle style = look.Foot();
  const RectMm& column = look.column();
  const RectMm& area = look.area();
  const double number_width = look.Scaled(12);
  const double top = look.page().height - look.theme().margins.bottom -
                     PageText(page, "0", style, number_width).height();
  const PageTag tag(page, PageTag::kParagraph);
  DrawText(page, deck.title, style, column.x, top, column.width);
  DrawText(page, kNotAProof, style, area.x, top, area.width / 2);
  style.align = TextStyle::kRight;
  DrawText(page, look.theme().footer, style, area.x + area.width / 2, top,
           area.width / 2 - number_width);
  style.tabular = true;
  style.colour = look.theme().text;
  DrawText(page, std::to_string(page.number()), style, area.right() - number_width, top,
           number_width);
}

void DrawPictureTagged(const Page& page, const Deck& deck, const JobRecord& record,
                       const RectMm& rect) {
  const PageTag tag(page, PageTag::kFigure);
  DrawPicture(page, deck.picture_of(record), record.sha256, rect);
}

void DrawPreviewPage(const Page& page, const Deck& deck, const SlidePage& what) {
  const JobRecord& record = *what.preview->shown;
  ColumnText words(page, deck.look);
  words.Heading(TitleOf(*what.scene));
  words.Name(NameOf(record));
  for (const CaptionPart& part : CaptionOf(record)) words.Part(part.label, part.values);
  const RectMm picture = FitInto(deck.picture_of(record).size, deck.look.area());
  words.Notes(WarningsOf(record, kMostWarnings), picture.bottom());
  DrawPictureTagged(page, deck, record, picture);
}

// Pictures of one shape, the first one's, in rows from the top left; under each its caption.
template <typename CaptionFor>
void DrawGrid(const Page& page, const Deck& deck, const std::vector<const JobRecord*>& pictures,
              const CaptionFor& caption_for) {
  const SlideLook& look = deck.look;
  TextStyle style = look.Body();
  style.most_lines = 2;
  const double above = look.Scaled(3.2);
  const GridGaps gaps{look.Scaled(8), look.Scaled(6), above + 2 * style.leading_pt * kMmPerPoint};
  const SizePx shape = pictures.front()->size;
  const double aspect = static_cast<double>(shape.width) / static_cast<double>(shape.height);
  const RectMm& area = look.area();
  const size_t columns = ColumnsFor(pictures.size(), aspect, area, gaps);
  const size_t rows = (pictures.size() + columns - 1) / columns;
  const auto share = [](double whole, double gap, size_t parts) {
    return (whole - gap * static_cast<double>(parts - 1)) / static_cast<double>(parts);
  };
  const double width = std::min(share(area.width, gaps.column, columns),
                                (share(area.height, gaps.row, rows) - gaps.caption) * aspect);
  const double height = width / aspect;
  for (size_t i = 0; i < pictures.size(); ++i) {
    const RectMm cell{
        area.x + static_cast<double>(i % columns) * (width + gaps.column),
        area.y + static_cast<double>(i / columns) * (height + gaps.caption + gaps.row), width,
        height};
    DrawPictureTagged(page, deck, *pictures[i], cell);
    const PageTag tag(page, PageTag::kCaption);
    DrawText(page, caption_for(*pictures[i]), style, cell.x, cell.bottom() + above, width);
  }
}

void DrawComparisonPage(const Page& page, const Deck& deck, const SlidePage& what) {
  ColumnText words(page, deck.look);
  words.Heading(TitleOf(*what.scene));
  const size_t all = what.scene->previews.size();
  words.Name(what.pictures.size() == all ? fmt::format("{} variants", all)
                                         : fmt::format("Variants {} to {} of {}", what.first + 1,
                                                       what.first + what.pictures.size(), all));
  const std::string& condition = what.pictures.front()->print_condition;
  if (std::all_of(what.pictures.begin(), what.pictures.end(),
                  [&](const JobRecord* record) { return record->print_condition == condition; })) {
    words.Part("Colours", {ConditionOf(*what.pictures.front())});
  }
  DrawGrid(page, deck, what.pictures, [](const JobRecord& record) { return NameOf(record); });
}

void DrawVisionsPage(const Page& page, const Deck& deck, const SlidePage& what) {
  ColumnText words(page, deck.look);
  words.Heading(TitleOf(*what.scene));
  words.Name(NameOf(*what.preview->shown));
  words.Paragraph("How the same picture looks to people who tell some colours apart less well.", 8);
  DrawGrid(page, deck, what.pictures, [](const JobRecord& record) {
    return record.vision.empty() ? "as full colour vision sees it" : ViewOf(record);
  });
}

// Each picture as large as the print is seen from its distance, looked at from one and the same reading distance.
void DrawDistancesPage(const Page& page, const Deck& deck, const SlidePage& what) {
  const SlideLook& look = deck.look;
  const RectMm& area = look.area();
  const TextStyle style = look.Body();
  const double above = look.Scaled(3.2), gap = look.Scaled(8);
  double width_px = 0, height_px = 0;
  for (const JobRecord* const record : what.pictures) {
    width_px += static_cast<double>(record->size.width);
    height_px = std::max(height_px, static_cast<double>(record->size.height));
  }
  const double room = area.width - gap * static_cast<double>(what.pictures.size() - 1);
  const double caption = above + style.leading_pt * kMmPerPoint;
  const double mm_per_px = std::min(
      {kReadingMm * kTangentOfMinute, room / width_px, (area.height - caption) / height_px});
  ColumnText words(page, look);
  words.Heading(TitleOf(*what.scene));
  words.Name(NameOf(*what.preview->shown));
  words.Paragraph(
      fmt::format("With this page, {:.0f} mm wide, {:.0f} cm before the eye, each picture is as "
                  "large as the print is from the distance under it.",
                  look.page().width, mm_per_px / kTangentOfMinute / 10),
      10);
  double x = area.x;
  for (const JobRecord* const record : what.pictures) {
    const RectMm rect{x, area.y, static_cast<double>(record->size.width) * mm_per_px,
                      static_cast<double>(record->size.height) * mm_per_px};
    DrawPictureTagged(page, deck, *record, rect);
    const PageTag tag(page, PageTag::kCaption);
    DrawText(page, ViewOf(*record), style, x, rect.bottom() + above,
             std::max(rect.width, look.Scaled(20)));
    x += rect.width + gap;
  }
}

}  // namespace

void ColumnText::Add(const std::string& text, const TextStyle& style, double gap_mm) {
  const RectMm& column = look_.column();
  const double top = below_ == 0 ? 0 : below_ + look_.Scaled(gap_mm);
  const PageText block(page_, text, style, column.width);
  if (top + block.height() > column.height) return;
  block.Draw(column.x, column.y + top);
  below_ = top + block.height();
}

void ColumnText::Heading(const std::string& text) {
  const PageTag tag(page_, PageTag::kHeading);
  Add(text, look_.Heading(), 0);
}

void ColumnText::Name(const std::string& text) {
  const PageTag tag(page_, PageTag::kSubheading);
  Add(text, look_.Name(), 8);
}

void ColumnText::Part(const std::string& label, const std::vector<std::string>& values) {
  const PageTag tag(page_, PageTag::kParagraph);
  Add(label, look_.Label(), 7);
  for (const std::string& value : values) Add(value, look_.Body(), 2.4);
}

void ColumnText::Paragraph(const std::string& text, int most_lines) {
  const PageTag tag(page_, PageTag::kParagraph);
  TextStyle style = look_.Body();
  style.most_lines = most_lines;
  Add(text, style, 7);
}

void ColumnText::Notes(const std::vector<std::string>& texts, double bottom) {
  TextStyle style = look_.Label();
  style.most_lines = kLinesANote;
  double height = 0;
  for (const std::string& text : texts) {
    height +=
        PageText(page_, text, style, look_.column().width).height() + look_.Scaled(kNoteGapMm);
  }
  below_ = std::max(below_ + look_.Scaled(kNoteGapMm), bottom - look_.column().y - height);
  const PageTag tag(page_, PageTag::kParagraph);
  for (const std::string& text : texts) Add(text, style, kNoteGapMm);
}

size_t ColumnsFor(size_t count, double aspect, const RectMm& area, const GridGaps& gaps) {
  size_t best = 1;
  double widest = 0;
  for (size_t columns = 1; columns <= count; ++columns) {
    const size_t rows = (count + columns - 1) / columns;
    const auto c = static_cast<double>(columns), r = static_cast<double>(rows);
    const double width = (area.width - gaps.column * (c - 1)) / c;
    const double height = (area.height - gaps.row * (r - 1)) / r - gaps.caption;
    const double fitting = std::min(width, height * aspect);
    // Side by side is easier to compare than one above the other, for a few percent.
    if (fitting >= widest * 0.95) best = columns;
    widest = std::max(widest, fitting);
  }
  return best;
}

void DrawSlide(const Page& page, const Deck& deck, const SlidePage& what) {
  page.Fill({0, 0, page.size().width, page.size().height}, deck.look.theme().ground);
  switch (what.kind) {
    case SlidePage::kTitle:
      DrawTitlePage(page, deck);
      break;
    case SlidePage::kPreview:
      DrawPreviewPage(page, deck, what);
      break;
    case SlidePage::kDistances:
      DrawDistancesPage(page, deck, what);
      break;
    case SlidePage::kVisions:
      DrawVisionsPage(page, deck, what);
      break;
    case SlidePage::kComparison:
      DrawComparisonPage(page, deck, what);
      break;
    case SlidePage::kColours:
      DrawColoursPage(page, deck, what);
      break;
    case SlidePage::kIndex:
      DrawIndexPage(page, deck, what);
      break;
  }
  DrawFoot(page, deck);
}

}  // namespace wheatpaste
