// check_sheet.h - `check` of a run sheet: every scene solved, every artwork read on it and held to the brand's rules, without
// a picture.
//
// JSON    { run_sheet, title, pictures, scenes [ { scene, solved (report.h, its slots open), artworks [ { artwork, colourway,
//         placements, brand, notes, warnings, errors } ], errors } ] }. Colourways other than "as drawn" are read, not
//         held to the rules again.
#pragma once

#include "cli/commands.h"

namespace wheatpaste {

// returns  the exit status: 2 where the sheet, a scene or an artwork has a mistake.
int CheckSheet(const CheckArguments& arguments);

}  // namespace wheatpaste
