// check_print.h - what becomes of an artwork's main colours on a press.
//
// Model   each flat colour (artwork/main_colours.h) separated and seen again (colour/press.h), relative to the paper.
//           shift         CIEDE2000 from the colour as drawn to the colour as separated and held: what a reader sees
//           out of gamut  the press cannot come nearer than kLargeShift, however it is separated
//         Dark colours shift although the press could hold them: black-point compensation lightens them together, so that
//         they stay apart.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "artwork/artwork.h"
#include "artwork/main_colours.h"
#include "colour/press.h"
#include "scene/scene.h"

namespace wheatpaste {

// Above what the shipped profiles' own tables leave (0.9 at the 95th percentile, assets-open/profiles/README.md), and
// where two patches side by side look plainly different (common practice, no source).
inline constexpr double kLargeShift = 2.0;

struct PrintedMainColour {
  MainColour drawn;
  HeldColour held;
  Srgb8 held_srgb;  // on the press's paper = white
  double shift = 0;
  bool out_of_gamut = false;
};

// In the order of MainColours.
// errors  the artwork cannot be drawn.
Result<std::vector<PrintedMainColour>> CheckPrint(const Press& press, const Artwork& artwork);

// What is wrong with them, a plain sentence each; `artwork` is its name.
std::vector<std::string> PrintWarnings(const std::vector<PrintedMainColour>& colours,
                                       const PrintCondition& condition, const std::string& artwork);

}  // namespace wheatpaste
