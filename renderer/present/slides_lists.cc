// slides_lists.cc - a deck's pages of colours and its index.

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "colour/adapt.h"
#include "colour/contrast.h"
#include "present/slides_caption.h"
#include "present/slides_pages.h"

namespace wheatpaste {
namespace {

constexpr size_t kColourColumns = 4;
constexpr double kIndexLeadingPt = 15;
constexpr double kColourGutterMm = 8;
constexpr double kColourFieldMm = 34;        // high
constexpr double kColourRowMm = 80;          // from field to field
constexpr double kLeastEdgeContrast = 1.15;  // of a field that needs no frame, to the ground

// The typographic minus, and no minus before a zero.
std::string Whole(double number) {
  const long whole = std::lround(number);
  return whole < 0 ? fmt::format("\u2212{}", -whole) : fmt::format("{}", whole);
}

std::string LabText(const std::array<double, 3>& lab) {
  return fmt::format("{} {} {}", Whole(lab[0]), Whole(lab[1]), Whole(lab[2]));
}

// What the display shows of a Lab relative to the press's paper: the paper is its white.
Srgb8 ShownOf(const std::array<double, 3>& lab) {
  return SrgbFromLinear(LinearFromLabD50({lab[0], lab[1], lab[2]}));
}

struct Figure {
  const char* label;
  std::string value;
};

std::vector<Figure> FiguresOf(const ColourRecord& colour, const Srgb8& srgb) {
  std::vector<Figure> figures = {{"RGB", fmt::format("{} {} {}", srgb.r, srgb.g, srgb.b)},
                                 {"Lab", LabText(colour.lab)}};
  if (colour.cmyk_percent) {
    const auto& ink = *colour.cmyk_percent;
    figures.push_back({"CMYK", fmt::format("{} {} {} {}", Whole(ink[0]), Whole(ink[1]),
                                           Whole(ink[2]), Whole(ink[3]))});
  }
  if (colour.printed_lab) figures.push_back({"Lab, printed", LabText(*colour.printed_lab)});
  if (colour.shift) figures.push_back({"Shift", fmt::format("{:.1f}", *colour.shift)});
  return figures;
}

// A field of the colour, its right half as the press prints it where that is known, and its figures below.
void DrawColour(const Page& page, const SlideLook& look, const ColourRecord& colour,
                const RectMm& field) {
  const Srgb8 drawn = ColourFromHex(colour.srgb).value_or(Srgb8{});
  page.Fill(field, drawn);
  if (colour.printed_lab) {
    page.Fill({field.x + field.width / 2, field.y, field.width / 2, field.height},
              ShownOf(*colour.printed_lab));
  }
  const Srgb8& ground = look.theme().ground;
  if (ContrastRatio(LinearFromSrgb(drawn), LinearFromSrgb(ground)) < kLeastEdgeContrast) {
    page.Frame(field, look.Scaled(0.15), look.theme().quiet);
  }
  const PageTag tag(page, PageTag::kParagraph);
  TextStyle name = look.Body();
  name.weight = 600;
  name.most_lines = 1;
  double top = field.bottom() + look.Scaled(3.6);
  top += DrawText(page, colour.name.empty() ? colour.srgb : colour.name, name, field.x, top,
                  field.width) +
         look.Scaled(2.6);
  TextStyle value = look.Label();
  value.colour = look.theme().text;
  value.tabular = true;
  const double label_width = field.width * 0.42;
  std::vector<Figure> figures = FiguresOf(colour, drawn);
  if (!colour.name.empty()) figures.insert(figures.begin(), {"Hex", colour.srgb});
  for (const Figure& figure : figures) {
    DrawText(page, figure.label, look.Label(), field.x, top, label_width);
    DrawText(page, figure.value, value, field.x + label_width, top, field.width - label_width);
    top += value.leading_pt * kMmPerPoint;
  }
}

}  // namespace

void DrawColoursPage(const Page& page, const Deck& deck, const SlidePage& what) {
  const SlideLook& look = deck.look;
  ColumnText words(page, look);
  words.Heading("Colours");
  if (what.condition.empty()) {
    words.Name("as on screen");
    words.Paragraph(
        "The colours of the artwork as its file has them. No print condition was chosen, so these "
        "are a screen's colours; a press may not hold all of them.",
        10);
  } else {
    words.Name(what.condition);
    words.Paragraph(
        "Left half: the colour of the artwork. Right half: as near as this press comes, its paper "
        "taken as white.",
        8);
    words.Paragraph(
        "CMYK in percent of ink, by the press's profile. Shift is the difference of the two "
        "(CIEDE2000): 1 is hardly seen side by side, 5 is plain to see.",
        12);
  }
  words.Paragraph("Lab for D50, 2 degrees.", 2);
  const RectMm& area = look.area();
  const double gutter = look.Scaled(kColourGutterMm);
  const double width =
      (area.width - gutter * (kColourColumns - 1)) / static_cast<double>(kColourColumns);
  const size_t columns = what.colours.size() <= kColourColumns
                             ? kColourColumns
                             : (what.colours.size() + 1) / 2;  // two rows, the first not shorter
  const double row = look.Scaled(kColourRowMm);
  for (size_t i = 0; i < what.colours.size(); ++i) {
    const RectMm field{area.x + static_cast<double>(i % columns) * (width + gutter),
                       area.y + static_cast<double>(i / columns) * row, width,
                       look.Scaled(kColourFieldMm)};
    DrawColour(page, look, *what.colours[i], field);
  }
}

size_t IndexRows(const SlideLook& look) {
  const double leading = look.Scaled(kIndexLeadingPt * kMmPerPoint);
  return std::max<size_t>(2, static_cast<size_t>(look.area().height / leading));
}

void DrawIndexPage(const Page& page, const Deck& deck, const SlidePage& what) {
  const SlideLook& look = deck.look;
  ColumnText words(page, look);
  words.Heading("Index");
  const RectMm& area = look.area();
  const double gutter = look.Scaled(14);
  const double width = (area.width - gutter) / static_cast<double>(kIndexColumns);
  const double leading = look.Scaled(kIndexLeadingPt * kMmPerPoint);
  const double number_width = look.Scaled(12);
  const size_t rows = IndexRows(look);
  TextStyle text = look.Body();
  text.most_lines = 1;
  TextStyle number = text;
  number.align = TextStyle::kRight;
  number.tabular = true;
  number.colour = look.theme().quiet;
  for (size_t i = 0; i < what.count; ++i) {
    const IndexRow& entry = deck.plan.rows[what.first + i];
    if (entry.text.empty()) continue;
    const double x = area.x + static_cast<double>(i / rows) * (width + gutter);
    const double y = area.y + static_cast<double>(i % rows) * leading;
    text.weight = entry.heads ? 600 : 400;
    const PageTag tag(page, PageTag::kParagraph);
    const PageLink link(page, entry.page);
    const double indent = entry.heads ? 0 : look.Scaled(5);
    DrawText(page, entry.text, text, x + indent, y, width - indent - number_width);
    DrawText(page, std::to_string(entry.page), number, x + width - number_width, y, number_width);
  }
}

}  // namespace wheatpaste
