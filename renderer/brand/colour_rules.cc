#include "brand/colour_rules.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "colour/adapt.h"
#include "colour/colour_vision.h"
#include "colour/contrast.h"
#include "colour/difference.h"
#include "colour/srgb.h"
#include "ink/printed_colour.h"

namespace wheatpaste {
namespace {

constexpr char kSource[] = "WCAG 2.1, success criteria 1.4.3 and 1.4.11";

// How many pixels of each pair of parts touch.
std::vector<std::vector<int64_t>> Borders(const FlatDrawing& drawing) {
  const size_t parts = drawing.colours.size() + 1;
  std::vector<std::vector<int64_t>> met(parts, std::vector<int64_t>(parts));
  const auto meet = [&](uint8_t a, uint8_t b) {
    if (a == b) return;
    ++met[a][b];
    ++met[b][a];
  };
  for (int64_t y = 0; y + 1 < drawing.size.height; ++y) {
    for (int64_t x = 0; x + 1 < drawing.size.width; ++x) {
      const uint8_t part = drawing.part[drawing.At(x, y)];
      meet(part, drawing.part[drawing.At(x + 1, y)]);
      meet(part, drawing.part[drawing.At(x, y + 1)]);
    }
  }
  return met;
}

bool IsLarge(const LetterRow& row) {
  return row.height_mm >= (row.lower_case ? kLargeSmallLettersMm : kLargeCapitalsMm);
}

double DifferenceOf(const SceneLinear& a, const SceneLinear& b) {
  return DeltaE2000(LabFromLinear(a), LabFromLinear(b));
}

const char* ConesOf(ColourDeficiency deficiency) {
  return deficiency == ColourDeficiency::kProtan   ? "red"
         : deficiency == ColourDeficiency::kDeutan ? "green"
                                                   : "blue";
}

}  // namespace

std::vector<uint8_t> JoinedParts(const FlatDrawing& drawing,
                                 const std::vector<SceneLinear>& printed) {
  const uint8_t clear = drawing.clear();
  std::vector<uint8_t> joined(printed.size(), clear);
  for (uint8_t part = 0; part < clear; ++part) {
    if (DifferenceOf(printed[part], printed[clear]) < kSameAsBare) continue;
    joined[part] = part;
    // Parts come by falling share.
    for (uint8_t before = 0; before < part; ++before) {
      if (joined[before] != before) continue;
      if (DifferenceOf(printed[part], printed[before]) >= kToneOnTone) continue;
      joined[part] = before;
      break;
    }
  }
  return joined;
}

Finding CheckColourVision(const std::vector<NamedColour>& colours) {
  Finding finding{
      .rule = "colour vision",
      .expected = kMergedBelow,
      .unit = "CIEDE2000",
      .source = "Machado, Oliveira, Fernandes 2009, severity 1; the limit is our choice"};
  for (size_t i = 0; i < colours.size(); ++i) {
    for (size_t j = i + 1; j < colours.size(); ++j) {
      const SceneLinear &a = colours[i].colour, &b = colours[j].colour;
      const double told = DifferenceOf(a, b);
      if (told < kToldApartFrom) continue;
      for (const auto deficiency :
           {ColourDeficiency::kProtan, ColourDeficiency::kDeutan, ColourDeficiency::kTritan}) {
        const double seen = DifferenceOf(SeenWith(deficiency, 1, a), SeenWith(deficiency, 1, b));
        if (finding.measured && *finding.measured <= seen) continue;
        finding.measured = seen;
        finding.subject = fmt::format("{} and {}", colours[i].name, colours[j].name);
        finding.words = fmt::format(
            "{} {} for people without {} cones (CIEDE2000 {:.0f}, for most people {:.0f})",
            finding.subject, seen < kMergedBelow ? "merge" : "stay apart even", ConesOf(deficiency),
            seen, told);
      }
    }
  }
  if (!finding.measured) finding.words = "no two colours that most people tell apart";
  return Judged(std::move(finding));
}

std::string NameOfPart(const FlatDrawing& drawing, uint8_t part) {
  if (part == drawing.clear()) return "the bare substrate";
  return HexOf(drawing.colours[part].colour);
}

std::vector<SceneLinear> PrintedParts(const FlatDrawing& drawing, const Ink& ink,
                                      const Substrate& substrate, const Press* press) {
  std::vector<SceneLinear> printed;
  for (const MainColour& main : drawing.colours) {
    SceneLinear colour = LinearFromSrgb(main.colour);
    if (press != nullptr) colour = LinearFromLabD50(press->Hold(colour).relative);
    printed.push_back(PrintedColour(ink, substrate, colour));
  }
  printed.push_back(UnprintedColour(ink, substrate));
  return printed;
}

Findings CheckContrast(const FlatDrawing& drawing, const std::vector<LetterRow>& rows,
                       bool lettering_is_sized, const std::vector<SceneLinear>& printed) {
  const auto borders = Borders(drawing);
  const uint8_t ground = drawing.Ground();
  std::set<std::pair<uint8_t, uint8_t>> seen;
  Findings findings;
  for (uint8_t part = 0; part < drawing.clear(); ++part) {
    if (part == ground || drawing.colours[part].share < kLeastMarkShare) continue;
    const auto& met = borders[part];
    const auto beside =
        static_cast<uint8_t>(std::max_element(met.begin(), met.end()) - met.begin());
    if (met[beside] == 0 || !seen.insert(std::minmax(part, beside)).second) continue;
    const bool small_lettering =
        lettering_is_sized && std::any_of(rows.begin(), rows.end(), [&](const LetterRow& row) {
          return row.part == part && row.beside == beside && !IsLarge(row);
        });
    const double ratio = ContrastRatio(printed[part], printed[beside]);
    const double difference = DifferenceOf(printed[part], printed[beside]);
    const double expected = small_lettering ? kLeastTextContrast : kLeastLargeContrast;
    Finding finding{
        .rule = "contrast",
        .subject = fmt::format("{} on {}", NameOfPart(drawing, part), NameOfPart(drawing, beside)),
        .measured = ratio,
        .expected = expected,
        .unit = "ratio",
        .source = kSource};
    // Cut, not rounded: what falls short by a hair is not to read as kept.
    finding.words = fmt::format(
        "{} has a contrast of {:.2f} to 1 as printed (CIEDE2000 {:.0f}); {:g} is expected of {}",
        finding.subject, std::floor(100 * ratio) / 100, difference, expected,
        small_lettering ? "lettering below 18 pt" : "a mark, unless it is mere decoration");
    findings.push_back(Judged(std::move(finding)));
  }
  return findings;
}

}  // namespace wheatpaste
