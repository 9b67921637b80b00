// report.h - what is known of a scene and its picture, as JSON for other programs.
//
// Keys    photo, camera { focal_px, focal_sd_px, source }, surfaces [ { name, shape, size_mm, aspect,
//         camera, pose { turn_degrees, origin_mm and their sd }, residual_px, faces, ... } ],
//         proof { condition, data, profile, intent, total_ink_limit },
//         placements [ { surface, artwork, width_mm, height_mm, ppi, ... } ],
//         colourway { name, recolour }, notes, warnings, output. A number that is not known is null.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "base/error.h"
#include "composite/render_scene.h"

namespace wheatpaste {

using Json = nlohmann::ordered_json;

Json ReportOf(const SolvedScene& solved, const ArtworkByName& artworks);

// { name, recolour: { "#rrggbb": "#rrggbb" } }; null without a name.
Json ColourwayOf(const std::optional<std::string>& name, const std::vector<ColourChange>& changes);

Json ReportOf(const Errors& errors);

// Prints the mistakes on the standard error, as JSON also on the standard output where asked for.
// returns  the exit status for bad input.
int Refuse(const Errors& errors, bool json = false);

// Text of `json`, with strings that are no valid UTF-8 repaired.
std::string Print(const Json& json);

}  // namespace wheatpaste
