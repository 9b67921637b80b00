// blanks.h - blanks of published styles, drawn to measure.
//
// Styles   "0201"          slotted box: glue flap, four walls, long flaps that meet over short ones
//          "0427"          tray with lid, folded without glue: rolled sides with locking tabs, lid with ears and a tuck
//          "tuck"          folding carton, both lids on the back ("reverse tuck": the lower one on the front)
//          "sleeve"        a tube
// Measure  inner L x B x H: width of the front, depth, height; t the board's thickness.
// Rules    0201: panels L + t, B + t, L + t, B + t / 2, creases H + 2 t apart, flaps (B + t) / 2, slots t + 3 wide. tuck and sleeve: four walls, the
//          last two 0.5 shorter; lid 0.5 or t shorter than the depth, tuck B / 3 within 12 to 20, dust flaps min(B, L / 2) - 1.
//          0427: as its file says.
// Source   FEFCO and ESBO code (style drawings); ECMA code A20.20; the allowances are as commonly given, from memory (they are in no code), where a
//          file does not say "derived here". A converter's sample decides before tooling.
// Drawing  in mm on a page with kBlankMarginMm around; names, orders of folding, glue areas, and bleed of kBlankBleedMm.
#pragma once

#include <array>
#include <string>

#include "dieline/dieline.h"

namespace wheatpaste {

inline constexpr double kBlankMarginMm = 10;
inline constexpr double kBlankBleedMm = 3;

// One plain sentence, to be shown wherever a blank is drawn.
inline constexpr char kBlankCaution[] =
    "dieline and board allowances vary: a converter's sample decides before tooling; nothing here "
    "is structural or food-contact advice";

// style, inner, board  with their places.
// errors  another style; lengths that the style cannot be made of.
Result<DielineDrawing> DrawBlank(const Placed<std::string>& style,
                                 const Placed<std::array<double, 3>>& inner,
                                 const Placed<double>& board);

}  // namespace wheatpaste
