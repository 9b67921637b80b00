// read_output.h - what an output is to be, from a table of a run sheet or from options of the same names.
//
// Keys    name, format       of a run sheet's [[output]]; format "png", "jpeg" or "jpg", "tiff" or "tif", "webp", "pdf"
//         size, ppi          "A3", "A3 landscape", "1920x1080", "210x297mm" (sizes.h); px per inch, 1 to 10000
//         from_metres        0.1 to 10000, in place of a size: as large as it is seen from there
//         pixel_ratio        device px per px of a size in px, above 0 to 8
//         fit, ground        "cover" (default) or "contain", then on the colour "#rrggbb" or a swatch (default white)
//         bleed, crop_marks  mm, 0 to 100; true or false
//         profile            as batch/output_profile.h reads it: not looked up here, but a run sheet's .icc file is resolved
//         depth              8 or 16
//         compression, tiles of TIFF: "none", "lzw" or "deflate" (default); true or false
//         quality            1 to 100, of JPEG, WebP, and PDF that may be lossy
//         sharp_artwork      true or false
//         vision, severity   "protan", "deutan" or "tritan"; 0 to 1 (default)
// Errors  an unknown key; a value out of its range; a size beyond the limits, with the density that fits; and what would
//         have no effect, such as tiles in a JPEG or a bleed in pixels of no size.
#pragma once

#include <string>
#include <vector>

#include "scene/output_spec.h"
#include "scene/scene.h"
#include "scene/scene_paths.h"
#include "scene/table_reader.h"

namespace wheatpaste {

// "png", "jpeg", "tiff", "webp" or "pdf", of these and of the endings "jpg" and "tif"; "" of any other text.
std::string FormatNamed(const std::string& text);

// One [[output]], name and format required; every mistake is noted and unknown keys are refused.
// data_folder  holds shared/sizes.toml.
// paths        of the run sheet: its .icc files lie where a scene's files may.
OutputSpec ReadOutput(TableReader& table, const std::string& data_folder, const ScenePaths& paths,
                      const std::vector<Swatch>& swatches);

// The other keys alone, for a file whose format is `spec.format` (empty: not known; what depends on it is not looked at).
void ReadOutputKeys(TableReader& table, const std::string& data_folder,
                    const std::vector<Swatch>& swatches, OutputSpec& spec);

}  // namespace wheatpaste
