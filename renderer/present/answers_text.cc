#include "present/answers_text.h"

#include <algorithm>

#include <fmt/format.h>

#include "present/caption.h"
#include "present/pins.h"

namespace wheatpaste {
namespace {

constexpr int kMostLines = 10;            // of a piece
constexpr size_t kMostPieceBytes = 1500;  // PageText shapes no more than 2000 characters

// Gaps, mm at full size.
constexpr double kGap = 2.4, kLargeGap = 4.2;

// How much of `text` stands in `most` lines, up to the end of a word where there is one.
size_t FittingBytes(const Page& ruler, std::string_view text, TextStyle style, double width) {
  style.most_lines = kMostLines + 1;
  std::vector<size_t> ends;  // of words, then of characters where there are no words
  const std::string_view head = text.substr(0, kMostPieceBytes);
  for (size_t i = 1; i < head.size(); ++i) {
    if (head[i] == ' ') ends.push_back(i);
  }
  if (text.size() <= kMostPieceBytes) ends.push_back(text.size());
  if (ends.empty()) {
    for (size_t i = 1; i < head.size(); ++i) {
      if ((head[i] & 0xC0) != 0x80) ends.push_back(i);
    }
  }
  const auto fits = [&](size_t end) {
    return PageText(ruler, text.substr(0, end), style, width).lines() <= kMostLines;
  };
  const auto past = std::partition_point(ends.begin(), ends.end(), fits);
  return past == ends.begin() ? ends.front() : *(past - 1);
}

TextStyle Strong(TextStyle style) {
  style.weight = 700;
  return style;
}

}  // namespace

double PieceMaker::inset() const { return 2 * PinRadius(look_) + look_.Scaled(2); }

void PieceMaker::Add(const std::string& text, TextStyle style, double gap, bool inset) {
  style.most_lines = kMostLines + 1;
  const double width = inset ? width_ - this->inset() : width_;
  // From the last baseline of a piece to the capitals of the next, as from line to line.
  const double next_line =
      style.leading_pt * kMmPerPoint - PageText(ruler_, "H", style, width).height();
  for (size_t at = 0; at <= text.size();) {
    const size_t end = std::min(text.find('\n', at), text.size());
    std::string_view line = std::string_view(text).substr(at, end - at);
    do {
      const size_t taken = line.empty() ? 0 : FittingBytes(ruler_, line, style, width);
      pieces_.push_back({std::string(line.substr(0, taken)), style, gap, inset, 0, false});
      gap = next_line;
      line.remove_prefix(taken);
      line.remove_prefix(std::min(line.find_first_not_of(' '), line.size()));
    } while (!line.empty());
    at = end + 1;
  }
}

std::vector<TextPiece> PiecesOf(const ListedItem& item, const Page& ruler, const SheetLook& look,
                                double width) {
  PieceMaker maker(ruler, look, width);
  const double gap = look.Scaled(kGap), large = look.Scaled(kLargeGap);
  maker.Add(item.name, Strong(look.Body()), 0);
  TextStyle need = Strong(look.Facts());
  need.colour = item.need == Need::kChange ? look.theme().accent : look.theme().quiet;
  maker.Add(NameOf(item.need), need, gap);
  if (item.record != nullptr) {
    const std::string sizes = SizesOf(*item.record);
    maker.Add(sizes.empty() ? ConditionOf(*item.record) : sizes + "; " + ConditionOf(*item.record),
              look.Facts(), gap);
  }
  double before = large;
  for (const ListedVerdict& given : item.verdicts) {
    TextStyle style = look.Name();
    if (given.earlier) style.colour = look.theme().quiet;
    maker.Add(LineOf(given), style, before);
    before = gap;
  }
  for (const ListedPin& pin : item.pins) {
    const size_t first = maker.pieces().size();
    const char* const state = pin.number == 0 ? ", withdrawn"
                              : pin.outdated  ? ", of an earlier picture"
                                              : "";
    maker.Add(pin.name + state, look.Facts(), large, true);
    maker.pieces()[first].number = pin.number;
    maker.pieces()[first].outdated = pin.outdated;
    TextStyle style = look.Body();
    if (pin.number == 0) style.colour = look.theme().quiet;
    maker.Add(pin.pin.text, style, gap, true);
  }
  return maker.Take();
}

std::vector<TextPiece> PiecesOf(const std::vector<ListedPerson>& people, const Page& ruler,
                                const SheetLook& look, double width) {
  PieceMaker maker(ruler, look, width);
  for (const ListedPerson& person : people) {
    maker.Add(fmt::format("{}, {} UTC", person.name, ShortTime(person.saved)), Strong(look.Name()),
              look.Scaled(kLargeGap));
    if (!person.comment.empty()) maker.Add(person.comment, look.Body(), look.Scaled(kGap));
  }
  return maker.Take();
}

}  // namespace wheatpaste
