// print_report.h - the part of a report that says what a press makes of each placement's artwork.
//
// Keys    placements [ { print { colours [ { colour, share, lab, lab_held, lab_nearest, colour_held, shift, out_of_gamut, ink_percent,
//         total_ink } ] } } ]; left out where no print condition is named or the slot is empty. lab is D50, relative to
//         the paper; warnings go to the report's own list.
#pragma once

#include "cli/report.h"

namespace wheatpaste {

// errors  artwork that cannot be drawn.
Status AddPrintReport(const SolvedScene& solved, const ArtworkByName& artworks, Json& report);

}  // namespace wheatpaste
