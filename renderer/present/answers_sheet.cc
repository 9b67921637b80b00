#include "present/answers_sheet.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "present/answers_text.h"
#include "present/caption.h"
#include "present/contact_sheet.h"
#include "present/contact_sheet_pictures.h"
#include "present/page_bitmap.h"
#include "present/pdf_pages.h"
#include "present/pins.h"

namespace wheatpaste {
namespace {

constexpr SizeMm kPage{210, 297};
constexpr double kLargeShare = 0.6, kSmallShare = 0.3;  // of the area's width, for a picture
constexpr double kMostHeightShare = 0.45;               // of the area's height
constexpr double kColumnGap = 6, kItemGap = 9;          // mm at full size
constexpr double kHeadingGap = 5, kAboveHeading = 3, kRuleMm = 0.2;

// A document that is filled from the top down.
class Flow {
 public:
  Flow(PdfPages& pdf, const SheetLook& look, std::string title)
      : pdf_(pdf), look_(look), title_(std::move(title)) {
    NewPage();
  }

  const Page& page() const { return *page_; }
  size_t pages() const { return page_->number(); }
  double top() const { return top_; }
  bool at_top() const { return top_ <= look_.area().y; }
  void MoveTo(double top) { top_ = top; }

  void NewPage() {
    page_ = &pdf_.NewPage(look_.page());
    DrawSheetGround(*page_, look_, title_, page_->number(), 0);
    top_ = look_.area().y;
  }
  // So that `height` fits, where a page can hold it at all.
  void Reserve(double height) {
    if (!at_top() && top_ + height > look_.area().bottom()) NewPage();
  }

  // Fills a column; returns whether it went on to another page.
  bool Fill(const std::vector<TextPiece>& pieces, double x, double width, double inset) {
    bool went_on = false;
    bool first = true;
    for (const TextPiece& piece : pieces) {
      const double indent = piece.inset ? inset : 0;
      const auto height_of = [&] {
        return PageText(*page_, piece.text, piece.style, width - indent).height();
      };
      double gap = first ? 0 : piece.gap;
      if (top_ + gap + height_of() > look_.area().bottom() && !at_top()) {
        NewPage();
        went_on = true;
        gap = 0;
      }
      first = false;
      top_ += gap;
      const PageTag tag(*page_, PageTag::kParagraph);
      const PageText text(*page_, piece.text, piece.style, width - indent);
      text.Draw(x + indent, top_);
      if (piece.number > 0) {
        const double line = PageText(*page_, "H", piece.style, width).height();
        DrawPin(*page_, look_, {x + PinRadius(look_), top_ + line / 2}, piece.number,
                piece.outdated);
      }
      top_ += text.height();
    }
    return went_on;
  }

 private:
  PdfPages& pdf_;
  const SheetLook& look_;
  std::string title_;
  const Page* page_ = nullptr;
  double top_ = 0;
};

bool IsLarge(const ListedItem& item) { return item.need == Need::kChange || !item.pins.empty(); }

// The picture's place, its top left at the origin.
RectMm PlaceOf(const ListedItem& item, const SheetLook& look) {
  const RectMm& area = look.area();
  const double width = area.width * (IsLarge(item) ? kLargeShare : kSmallShare);
  return FitInto(item.record->size, {0, 0, width, area.height * kMostHeightShare});
}

struct Drawing {
  const SheetLook& look;
  const Page& ruler;
  PdfPages& pdf;
  Flow flow;
  SheetPictures pictures;
};

void DrawPins(const Page& page, const SheetLook& look, const ListedItem& item,
              const RectMm& place) {
  std::vector<PointMm> points;
  for (const ListedPin& pin : item.pins) {
    if (pin.number == 0) continue;
    points.push_back({place.x + pin.pin.x * place.width, place.y + pin.pin.y * place.height});
  }
  // Numbered ones come first.
  const std::vector<PointMm> centres = PlacePins(look, place, points);
  const PageTag tag(page, PageTag::kParagraph);
  for (size_t i = 0; i < points.size(); ++i) {
    const double away = std::hypot(centres[i].x - points[i].x, centres[i].y - points[i].y);
    if (away > PinRadius(look)) DrawPinPoint(page, look, points[i], item.pins[i].outdated);
  }
  for (size_t i = 0; i < points.size(); ++i) {
    DrawPin(page, look, centres[i], item.pins[i].number, item.pins[i].outdated);
  }
}

void DrawItem(Drawing& drawing, const ListedItem& item, const std::optional<JpegPicture>& picture) {
  const SheetLook& look = drawing.look;
  Flow& flow = drawing.flow;
  const RectMm& area = look.area();
  double x = area.x;
  double bottom = 0;
  if (item.record != nullptr) {
    RectMm place = PlaceOf(item, look);
    flow.Reserve(place.height);
    place.x = area.x;
    place.y = flow.top();
    DrawSheetPicture(flow.page(), look, picture, item.record->sha256, place);
    DrawPins(flow.page(), look, item, place);
    bottom = place.bottom();
    x += area.width * (IsLarge(item) ? kLargeShare : kSmallShare) + look.Scaled(kColumnGap);
  }
  const double width = area.right() - x;
  const auto pieces = PiecesOf(item, drawing.ruler, look, width);
  const bool went_on = flow.Fill(pieces, x, width, PieceMaker(drawing.ruler, look, width).inset());
  flow.MoveTo((went_on ? flow.top() : std::max(flow.top(), bottom)) + look.Scaled(kItemGap));
}

void DrawItems(Drawing& drawing, const std::string& title, const std::vector<ListedItem>& items) {
  const SheetLook& look = drawing.look;
  Flow& flow = drawing.flow;
  const RectMm& area = look.area();
  const PageText measured(drawing.ruler, title, look.Heading(), area.width);
  const double heading = look.Scaled(kAboveHeading) + measured.height() + look.Scaled(kHeadingGap);
  const ListedItem& first = items.front();
  flow.Reserve(heading + (first.record != nullptr ? PlaceOf(first, look).height : 0));
  {
    const Page& page = flow.page();
    page.Fill({area.x, flow.top(), area.width, look.Scaled(kRuleMm)}, look.line());
    const PageTag tag(page, PageTag::kSubheading);
    DrawText(page, title, look.Heading(), area.x, flow.top() + look.Scaled(kAboveHeading),
             area.width);
  }
  drawing.pdf.AddOutline(title);
  flow.MoveTo(flow.top() + heading);

  constexpr size_t kAtOnce = 32;
  for (size_t begin = 0; begin < items.size(); begin += kAtOnce) {
    const size_t end = std::min(items.size(), begin + kAtOnce);
    std::vector<WantedPicture> wanted;
    for (size_t i = begin; i < end; ++i) {
      if (items[i].record == nullptr) continue;
      const RectMm place = PlaceOf(items[i], look);
      wanted.push_back({items[i].record, std::max(place.width, place.height)});
    }
    const auto read = drawing.pictures.Read(wanted);
    for (size_t i = begin, next = 0; i < end; ++i) {
      DrawItem(drawing, items[i], items[i].record != nullptr ? read[next++] : std::nullopt);
    }
  }
}

}  // namespace

Result<AnswersSheetMade> WriteAnswersSheet(const std::string& folder, const std::string& title,
                                           const AnswerList& list, const Theme& theme,
                                           const std::string& program, const std::string& path) {
  const auto ruler = PageBitmap::Create({10, 10}, Ppi{kPointsPerInch}, {});
  if (!ruler) return ruler.errors();
  const SheetLook look(theme, kPage);
  auto pdf = PdfPages::Create(path, {title, kNotAProof, program});
  if (!pdf) return pdf.errors();
  Drawing drawing{look, ruler->page(), *pdf, Flow(*pdf, look, title),
                  SheetPictures(folder, Ppi{kSheetPdfPpi})};
  Flow& flow = drawing.flow;
  flow.MoveTo(flow.top() + DrawSheetTitle(&flow.page(), ruler->page(), look, title,
                                          "Answers: " + SummaryOf(list)));
  const RectMm& area = look.area();
  flow.Fill(PiecesOf(list.people, ruler->page(), look, area.width), area.x, area.width, 0);
  flow.MoveTo(flow.top() + look.Scaled(kItemGap));
  for (const ListedScene& scene : list.scenes) DrawItems(drawing, scene.title, scene.items);
  if (!list.unknown.empty()) {
    DrawItems(drawing, "Pictures that the batch does not have", list.unknown);
  }
  AnswersSheetMade made;
  made.pages = flow.pages();
  made.missing = drawing.pictures.TakeMissing();
  const auto bytes = pdf->Finish();
  if (!bytes) return bytes.errors();
  made.bytes = *bytes;
  return made;
}

}  // namespace wheatpaste
