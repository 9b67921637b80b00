// svg_colour.h - one colour as an SVG or a style sheet writes it.
//
// Accepts #rgb #rgba #rrggbb #rrggbbaa; rgb() rgba() with three numbers of 0 to 255 or three
//         percentages; hsl() hsla(); each with commas or spaces, with or without alpha; the names of
//         colour_names.h. Upper and lower case are equal. What is out of range is clamped.
// Not     currentColor, transparent, none: no colour of their own.
// Codes   8 bits, rounded as librsvg rounds them: percentages and hsl after the sum, to nearest.
// Source  CSS Color Module Level 4, 4 (syntax), 7.1 (hsl to rgb).
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "colour/srgb.h"

namespace wheatpaste {

struct WrittenColour {
  Srgb8 colour;
  std::string alpha;        // as written, "" where it says none
  bool functional = false;  // alpha is a number or percentage, else two hex digits
};

// text  the colour and nothing else.
std::optional<WrittenColour> ParseColour(std::string_view text);

// `colour` in the place of `written`, which keeps its alpha.
std::string WriteColour(Srgb8 colour, const WrittenColour& written);

}  // namespace wheatpaste
