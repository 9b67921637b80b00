// size_rules.h - are lines, gaps, lettering and bitmaps large enough at their printed size?
//
// Lines     the thinnest line of any colour, the thinnest gap between colours, mm; a line lighter than what is beside it
//           is a gap where ink filters, as it is left free of ink. Limits: Ink::finest.
// Lettering the height of the smallest rows of letters, mm (letter_rows.h). Limits: the same.
// Reading   a letter is read up to 360 times its height away (an inch for 30 ft, the limit) and with ease up to 120
//           times (an inch for 10 ft). Source: sign research of Penn State and the US Sign Council, 1998 (an inch for 25
//           to 29 ft); the US manual of traffic signs, 2009 edition (30 ft); common practice of sign makers (10 ft).
//           Reported, not judged: nobody says how far away readers stand.
// Bitmaps   pixels per inch at printed size. One pixel under one minute of arc at d m is 87.3 / d ppi; d is 1.5 times the
//           diagonal of the print (practice of large-format printers), not nearer than 0.29 m, which asks for 300 ppi.
#pragma once

#include "artwork/artwork.h"
#include "base/units.h"
#include "brand/finding.h"
#include "brand/letter_rows.h"
#include "brand/line_widths.h"
#include "scene/scene.h"

namespace wheatpaste {

inline constexpr double kReadingLimit = 360, kReadingWithEase = 120;  // distance / height
inline constexpr double kClosePpi = 300;
inline constexpr double kDistancePerDiagonal = 1.5;

Findings CheckLines(const FlatDrawing& drawing, const std::vector<std::optional<ThinLine>>& lines,
                    const std::vector<SceneLinear>& printed, const SurfaceMm& placed,
                    const Ink& ink);

Findings CheckLettering(const FlatDrawing& drawing, const std::vector<LetterRow>& rows,
                        const Ink& ink);

// ppi for a print of that size seen from its usual distance.
double ExpectedPpi(const SurfaceMm& placed);
// The lower of the two directions; they differ only where the artwork is stretched. Expects a bitmap.
double PpiOf(const Artwork& bitmap, const SurfaceMm& placed);
Finding CheckResolution(const Artwork& bitmap, const SurfaceMm& placed);

}  // namespace wheatpaste
