// print_limits.h - the thinnest line, gap and lettering that a way of printing holds.
//
// Kinds   by the ink's name: on paper; through a screen on cloth; painted on a wall. An ink of no known name counts as on
//         paper.
// Source  common practice, no source; the figures are from memory, on the careful side. A printer's own figures win.
#pragma once

#include <string>

#include "scene/scene.h"

namespace wheatpaste {

struct PrintLimits {
  std::string name;    // finishes "ink ..."
  double line_mm = 0;  // a line of ink
  double gap_mm = 0;   // a gap between inks, or a line that is lighter than the ink around it
  double letter_mm =
      0;  // height of small letters, or of capitals where the lettering has no others
};

inline constexpr char kLimitsSource[] = "common practice, no source; figures from memory";

PrintLimits LimitsOf(const Ink& ink);

}  // namespace wheatpaste
