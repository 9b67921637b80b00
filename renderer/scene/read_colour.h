// read_colour.h - a colour written in a scene.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "scene/scene.h"
#include "scene/table_reader.h"

namespace wheatpaste {

// "#rgb", "#rrggbb" or the name of a swatch.
std::optional<Srgb8> ReadColour(TableReader& table, std::string_view key,
                                const std::vector<Swatch>& swatches);

}  // namespace wheatpaste
