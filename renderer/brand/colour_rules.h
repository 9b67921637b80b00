// colour_rules.h - do the colours of an artwork stand out from each other, as printed, for everybody?
//
// Contrast  every flat colour against the part of the drawing that it borders on most: another colour, or the bare
//           substrate. Both as printed (ink/printed_colour.h): WCAG 2.x ratio (colour/contrast.h) and CIEDE2000 of the
//           reflectances. Expected: 3; where the colour is that of lettering smaller than 18 pt, 4.5.
//           Bare substrate shows where nothing is drawn, and under white where ink filters.
// Vision    two colours that differ well for most (CIEDE2000 of 10 or more) but merge (below 5) for somebody whose red,
//           green or blue cones are missing (Machado, Oliveira, Fernandes 2009, severity 1). For comparison: 2.3 CIELAB
//           units are just noticeable side by side (Mahy, Van Eycken, Oosterlinck 1994, from memory); colours that are
//           named in a legend or remembered need several times that. The two limits are our choice.
// Tone on tone  colours less than kToneOnTone apart as printed are ornament to each other: lines, lettering and distances
//           are measured with such colours counted as one.
#pragma once

#include "brand/finding.h"
#include "brand/letter_rows.h"
#include "scene/scene.h"

namespace wheatpaste {

// Colours that cover less than this of what is drawn are passed over.
inline constexpr double kLeastMarkShare = 0.005;
// 18 pt is 6.35 mm; small letters are about half of it high, capitals 0.7 (from memory).
inline constexpr double kLargeSmallLettersMm = 3.2, kLargeCapitalsMm = 4.4;

// Reflectances of each part as printed, the clear last.
// press  that the colours are held by, relative to its paper; none: as drawn.
std::vector<SceneLinear> PrintedParts(const FlatDrawing& drawing, const Ink& ink,
                                      const Substrate& substrate, const Press* press = nullptr);

// lettering_is_sized  heights of `rows` are true mm.
// printed  of each part (PrintedParts).
Findings CheckContrast(const FlatDrawing& drawing, const std::vector<LetterRow>& rows,
                       bool lettering_is_sized, const std::vector<SceneLinear>& printed);

inline constexpr double kToneOnTone = 10, kSameAsBare = 2;  // CIEDE2000

// For JoinParts: each part as it counts, the commoner of two; what cannot be told from the bare substrate is clear.
std::vector<uint8_t> JoinedParts(const FlatDrawing& drawing,
                                 const std::vector<SceneLinear>& printed);

struct NamedColour {
  std::string name;
  SceneLinear colour;
};
inline constexpr double kMergedBelow = 5, kToldApartFrom = 10;  // CIEDE2000

// One finding: the pair that comes nearest to each other for anybody, of those that most people tell apart.
Finding CheckColourVision(const std::vector<NamedColour>& colours);

// "#0f4a3f", or "the bare substrate".
std::string NameOfPart(const FlatDrawing& drawing, uint8_t part);

}  // namespace wheatpaste
