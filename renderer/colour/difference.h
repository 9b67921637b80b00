// difference.h - the CIEDE2000 colour difference.
//
// Source  Sharma, Wu, Dalal 2005, Color Res. Appl. 30(1), 21-30, doi:10.1002/col.20070.
#pragma once

#include "colour/colour.h"

namespace wheatpaste {

// kL = kC = kH = 1. Hues that lie 180 degrees apart to 1e-10 degrees count as exactly 180 apart.
double DeltaE2000(const Lab& first, const Lab& second);

}  // namespace wheatpaste
