// slides_title.cc - the first page of a deck: its title and what it holds.

#include <algorithm>
#include <iterator>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "present/caption.h"
#include "present/caption.h"
#include "present/slides_caption.h"
#include "present/slides_pages.h"

namespace wheatpaste {
namespace {

constexpr size_t kMostLines = 6;  // of a list

void AddOnce(std::vector<std::string>& list, const std::string& text) {
  if (std::find(list.begin(), list.end(), text) == list.end()) list.push_back(text);
}

std::vector<std::string> Shortened(std::vector<std::string> list) {
  if (list.size() > kMostLines) {
    const size_t more = list.size() - (kMostLines - 1);
    list.resize(kMostLines - 1);
    list.push_back(fmt::format("and {} more", more));
  }
  return list;
}

struct Contents {
  std::vector<std::string> scenes, artworks, conditions;
  size_t previews = 0;
};

Contents ContentsOf(const std::vector<PreviewScene>& scenes) {
  Contents contents;
  for (const PreviewScene& scene : scenes) {
    contents.scenes.push_back(TitleOf(scene));
    contents.previews += scene.previews.size();
    for (const Preview& preview : scene.previews) {
      AddOnce(contents.artworks, NameOf(*preview.shown));
      const std::string& condition = preview.shown->print_condition;
      AddOnce(contents.conditions, condition.empty() ? "as on screen" : condition);
    }
  }
  return contents;
}

}  // namespace

void DrawTitlePage(const Page& page, const Deck& deck) {
  const SlideLook& look = deck.look;
  const RectMm& area = look.area();
  const Contents contents = ContentsOf(deck.scenes);
  if (deck.logo != nullptr) {
    const RectMm& column = look.column();
    const double height = std::min(look.theme().logo->height_mm, column.height);
    const SizePx& px = deck.logo->size;
    const double width = height * static_cast<double>(px.width) / static_cast<double>(px.height);
    DrawLogo(page, *deck.logo, {column.x, column.y, width, height});
  }
  {
    const PageTag tag(page, PageTag::kHeading);
    const PageText title(page, deck.title, look.Display(), area.width);
    // Its last line stands on the same height however long it is.
    title.Draw(area.x, area.y + area.height * 0.5 - title.height());
  }
  double top = area.y + area.height * 0.5 + look.Scaled(11);
  {
    const PageTag tag(page, PageTag::kSubheading);
    TextStyle style = look.Name();
    style.size_pt = look.Scaled(14);
    DrawText(page,
             fmt::format("{} of {}", Counted(contents.previews, "visualisation", "visualisations"),
                         Counted(contents.scenes.size(), "scene", "scenes")),
             style, area.x, top, area.width);
  }

  // Three lists side by side, their last lines at the foot of the area.
  const std::vector<std::string> lists[] = {
      Shortened(contents.scenes), Shortened(contents.artworks), Shortened(contents.conditions)};
  const char* const labels[] = {"Scenes", "Artwork", "Colours"};
  const double shares[] = {0.5, 0.25, 0.25};
  TextStyle line = look.Body();
  line.most_lines = 1;
  const double leading = line.leading_pt * kMmPerPoint;
  size_t longest = 0;
  for (const auto& list : lists) longest = std::max(longest, list.size());
  top = area.bottom() - leading * static_cast<double>(longest + 1);
  double x = area.x;
  for (size_t i = 0; i < std::size(lists); ++i) {
    const double width = area.width * shares[i] - look.Scaled(8);
    const PageTag tag(page, PageTag::kParagraph);
    DrawText(page, labels[i], look.Label(), x, top, width);
    double row = top + leading * 1.15;
    for (const std::string& text : lists[i]) {
      DrawText(page, text, line, x, row, width);
      row += leading;
    }
    x += area.width * shares[i];
  }
}

}  // namespace wheatpaste
