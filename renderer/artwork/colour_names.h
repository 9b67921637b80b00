// colour_names.h - the colours that CSS and SVG know by name.
//
// Source  CSS Color Module Level 4, 6.1 (named colours); sRGB codes. All of them drawn by librsvg in
//         tests/artwork/svg_colour_test.cc.
#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <utility>

#include "colour/srgb.h"

namespace wheatpaste {

inline constexpr size_t kColourNames = 148;

std::optional<Srgb8> ColourNamed(std::string_view lower_case);

// All of them, sorted by name.
std::span<const std::pair<std::string_view, Srgb8>> NamedColours();

}  // namespace wheatpaste
