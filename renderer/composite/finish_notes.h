// finish_notes.h - what the user should know of finishes, in plain words.
#pragma once

#include <string>
#include <vector>

#include "composite/prepare_artwork.h"
#include "composite/prepare_scene.h"

namespace wheatpaste {

// A varnish that adds less than this share of the light on the surface, at its brightest, hardly shows.
inline constexpr double kLeastGlint = 0.015;

// Where finishes take their light from, and what of it is made up.
std::vector<std::string> FinishNotes(const PreparedScene& scene,
                                     const std::vector<PreparedArtwork>& artworks);

// Finishes that cannot show.
std::vector<std::string> FinishWarnings(const PreparedScene& scene,
                                        const std::vector<PreparedArtwork>& artworks);

}  // namespace wheatpaste
