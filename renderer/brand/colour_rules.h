// colour_rules.h - do the colours of an artwork stand out from each other, as printed, for everybody?
//
// Contrast  every flat colour against the part of the drawing that it borders on most: another colour, or the bare
//           substrate. Both as printed (ink/printed_colour.h): WCAG 2.x ratio (colour/contrast.h) and CIEDE2000 of the
//           reflectances. Expected: 3; where the colour is that of lettering smaller than 18 pt, 4.5.
//           Bare substrate shows where nothing is drawn, and under white where ink filters.
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
std::vector<SceneLinear> PrintedParts(const FlatDrawing& drawing, const Ink& ink,
                                      const Substrate& substrate);

// lettering_is_sized  heights of `rows` are true mm.
Findings CheckContrast(const FlatDrawing& drawing, const std::vector<LetterRow>& rows,
                       bool lettering_is_sized, const Ink& ink, const Substrate& substrate);

// "#0f4a3f", or "the bare substrate".
std::string NameOfPart(const FlatDrawing& drawing, uint8_t part);

}  // namespace wheatpaste
