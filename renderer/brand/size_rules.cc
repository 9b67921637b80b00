#include "brand/size_rules.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "brand/colour_rules.h"
#include "composite/view_distance.h"

namespace wheatpaste {
namespace {

constexpr char kReadingSource[] =
    "sign research, Penn State and US Sign Council 1998: an inch of height for 30 ft at most; "
    "common practice: for 10 ft with ease";
constexpr char kResolutionSource[] =
    "one pixel under one minute of arc at 1.5 times the diagonal; common practice: 300 ppi close "
    "to the eye";
constexpr char kLimitsSource[] =
    "common practice, no source; figures from memory (shared/inks.toml)";
// Rows whose heights lie this close to the smallest are set in its size.
constexpr double kOneSize = 0.15;

// "0.25 mm", "71 mm".
std::string MmText(double mm) {
  return mm < 1    ? fmt::format("{:.2f} mm", mm)
         : mm < 10 ? fmt::format("{:.1f} mm", mm)
                   : fmt::format("{:.0f} mm", mm);
}

// Light lines in ink that filters are left free of ink.
bool Covers(const Ink& ink) { return ink.hiding.value_or(ink.opacity) >= 0.5; }

double LuminanceOf(const SceneLinear& colour) {
  return Luminance(double{colour.r}, double{colour.g}, double{colour.b});
}

struct Thinnest {
  uint8_t part = 0;
  std::optional<ThinLine> line;
};

Finding LineFinding(const FlatDrawing& drawing, const Thinnest& thinnest, bool gap,
                    const SurfaceMm& placed, const Ink& ink) {
  Finding finding{.rule = gap ? "gap" : "line",
                  .expected = gap ? ink.finest.gap_mm : ink.finest.line_mm,
                  .unit = "mm",
                  .source = kLimitsSource};
  if (!thinnest.line) {
    finding.subject = gap ? "gaps" : "lines";
    finding.words = gap ? "no narrow gap between colours" : "no line, only broad shapes and dots";
    return finding;
  }
  const ThinLine& line = *thinnest.line;
  finding.measured = line.width_mm;
  finding.subject = fmt::format("{} between {}", NameOfPart(drawing, thinnest.part),
                                NameOfPart(drawing, line.beside));
  finding.words = fmt::format(
      "the thinnest {} is {} ({}, {:.0f} mm from the artwork's left and {:.0f} mm from its top); "
      "ink {} holds {}",
      gap ? "gap" : "line", MmText(line.width_mm), finding.subject, line.place.x * placed.x,
      line.place.y * placed.y, ink.name, MmText(*finding.expected));
  // Below a pixel and a half of the drawing nothing finer is told.
  finding = Judged(std::move(finding));
  const double finest = 1.5 * drawing.mm_per_px;
  if (finding.verdict == Finding::Verdict::kBroken && line.width_mm < finest &&
      *finding.expected < finest / 3) {
    finding.verdict = Finding::Verdict::kNotMeasured;
    finding.measured.reset();
    finding.words =
        fmt::format("the artwork is too large to be measured finer than {}", MmText(finest));
  }
  return finding;
}

}  // namespace

Findings CheckLines(const FlatDrawing& drawing, const std::vector<std::optional<ThinLine>>& lines,
                    const std::vector<SceneLinear>& printed, const SurfaceMm& placed,
                    const Ink& ink) {
  const uint8_t ground = drawing.Ground();
  Thinnest positive, gap;
  for (size_t i = 0; i < lines.size(); ++i) {
    if (!lines[i]) continue;
    const auto part = static_cast<uint8_t>(i);
    const bool lighter = LuminanceOf(printed[part]) > LuminanceOf(printed[lines[i]->beside]);
    const bool is_gap = part == ground || part == drawing.clear() || (!Covers(ink) && lighter);
    Thinnest& kind = is_gap ? gap : positive;
    if (!kind.line || lines[i]->width_mm < kind.line->width_mm) kind = {part, lines[i]};
  }
  return {LineFinding(drawing, positive, false, placed, ink),
          LineFinding(drawing, gap, true, placed, ink)};
}

Findings CheckLettering(const FlatDrawing& drawing, const std::vector<LetterRow>& rows,
                        const Ink& ink) {
  Finding size{.rule = "lettering",
               .subject = "smallest lettering",
               .expected = ink.finest.letter_mm,
               .unit = "mm",
               .source = kLimitsSource};
  Finding reading{.rule = "reading distance",
                  .subject = "smallest lettering",
                  .unit = "m",
                  .source = kReadingSource};
  if (rows.empty()) {
    size.words = reading.words = "no lettering found";
    return {size, reading};
  }
  // The median letter of the rows of that size.
  const LetterRow& lowest = rows.front();
  std::vector<double> heights;
  for (const LetterRow& row : rows) {
    if (row.part != lowest.part || row.lower_case != lowest.lower_case) continue;
    if (row.height_mm > (1 + kOneSize) * lowest.height_mm) continue;
    heights.insert(heights.end(), static_cast<size_t>(row.letters), row.height_mm);
  }
  std::sort(heights.begin(), heights.end());
  const double height = heights[heights.size() / 2];
  const char* kind = lowest.lower_case ? "x-height" : "height of its letters";
  size.measured = height;
  size.subject =
      fmt::format("{} on {}", NameOfPart(drawing, lowest.part), NameOfPart(drawing, lowest.beside));
  size.words =
      fmt::format("the smallest lettering is {} high ({}; {}); ink {} holds {}", MmText(height),
                  kind, size.subject, ink.name, MmText(ink.finest.letter_mm));
  reading.measured = kReadingLimit * height / 1000;
  reading.subject = size.subject;
  reading.words = fmt::format(
      "the smallest lettering, {} high, reads from {:.1f} m at most, with ease from {:.1f} m",
      MmText(height), *reading.measured, kReadingWithEase * height / 1000);
  return {Judged(std::move(size)), Judged(std::move(reading))};
}

double ExpectedPpi(const SurfaceMm& placed) {
  const double distance_m = kDistancePerDiagonal * std::hypot(placed.x, placed.y) / 1000;
  return std::min(kClosePpi, ResolvedFrom(distance_m).value);
}

double PpiOf(const Artwork& bitmap, const SurfaceMm& placed) {
  const double across = static_cast<double>(bitmap.pixels().width) / placed.x;
  const double down = static_cast<double>(bitmap.pixels().height) / placed.y;
  return std::min(across, down) * kMmPerInch;
}

Finding CheckResolution(const Artwork& bitmap, const SurfaceMm& placed) {
  const double ppi = PpiOf(bitmap, placed), expected = ExpectedPpi(placed);
  const double one_metre = ResolvedFrom(1).value;
  Finding finding{.rule = "resolution",
                  .subject = "bitmap",
                  .measured = ppi,
                  .expected = expected,
                  .unit = "ppi",
                  .source = kResolutionSource};
  finding.words = fmt::format(
      "the bitmap has {:.0f} ppi at its printed size and looks sharp from {:.1f} m; {:.0f} ppi are "
      "expected, for {:.1f} m",
      ppi, one_metre / ppi, expected, one_metre / expected);
  return Judged(std::move(finding));
}

}  // namespace wheatpaste
