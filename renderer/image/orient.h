// orient.h - turns a picture upright.
//
// Model   upright(x, y) = stored(x', y'), a permutation of whole pixels: no code changes.
//         With w x h stored:  1 (x, y)        2 (w-1-x, y)      3 (w-1-x, h-1-y)  4 (x, h-1-y)
//                             5 (y, x)        6 (y, h-1-x)      7 (w-1-y, h-1-x)  8 (w-1-y, x)
// Source  CIPA DC-008 (Exif 2.32), tag 0x0112; TIFF 6.0, section 8, Orientation.
#pragma once

#include "image/bitmap.h"

namespace wheatpaste {

// Turns by bitmap.exif.orientation, which stays as it was; size changes sides for 5 to 8.
// threads  runs in parallel over rows.
void TurnUpright(Bitmap& bitmap);

}  // namespace wheatpaste
