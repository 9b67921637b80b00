// read_colour.h - the scene's swatches, and a colour wherever a scene file names one.
//
// Form    [swatch]
//         "seed green" = "#0f4a3f"
//         and from then on colour = "seed green", or colour = "#0f4a3f", or "#rgb".
// Limits  kMaxSwatches of them; a name is one line of at most kMaxSceneNameBytes that does not begin
//         with #.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scene/scene.h"
#include "scene/table_reader.h"

namespace wheatpaste {

inline constexpr size_t kMaxSwatches = 64;

// The table [swatch] of `root`, which may be missing.
std::vector<Swatch> ReadSwatches(TableReader& root);

// The colour under `key`, written as hex digits or as a swatch's name; none where the key is missing or was
// refused (then noted, with the nearest name).
std::optional<Srgb8> ReadColour(TableReader& table, std::string_view key,
                                const std::vector<Swatch>& swatches);

// The same of a text; where it is none, what is wrong with it goes to `complaint`.
std::optional<Srgb8> ColourOf(const std::string& text, const std::vector<Swatch>& swatches,
                              std::string& complaint);

}  // namespace wheatpaste
