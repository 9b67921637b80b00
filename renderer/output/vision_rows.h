// vision_rows.h - finished rows as a person with a colour-vision deficiency sees them.
//
// Model   codes to linear light through the picture's own profile, colour/colour_vision.h, and back to codes:
//         what leaves the profile's range ends at its limits.
// Exact   severity 0 leaves every bit as it is.
// Threads rows are converted in parallel; the same bits for any thread count.
#pragma once

#include <cstdint>

#include "base/rect.h"
#include "colour/colour_vision.h"
#include "colour/profile.h"

namespace wheatpaste {

class VisionRows {
 public:
  // profile  RGB, of the codes; depth 8 or 16 bits.
  VisionRows(const Profile& profile, int depth, ColourDeficiency deficiency, double severity);

  // In place: size.height rows of size.width RGB pixels, tightly packed.
  void Convert(uint8_t* codes, SizePx size) const;

 private:
  WorkingFromCodes decode_;
  CodesFromWorking encode_;
  int depth_;
  double severity_;
  Matrix3 seen_;
};

}  // namespace wheatpaste
