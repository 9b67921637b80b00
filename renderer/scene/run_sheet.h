// run_sheet.h - a run sheet (TOML 1.0): every scene x artwork x colourway x output that a batch makes.
//
// Form    title = "Pitch, first round"
//         scenes = ["poster.toml", "carton.toml"]
//         print_condition = "coated offset"          colours as that press holds them, in place of the scenes' own
//         [swatch], [[colourway]]                    as in a scene (read_colour.h, read_colourways.h)
//         [[artwork]]
//         name = "primary"
//         slots = { mark = "art/primary.svg" }       files for the scenes' slots; those a scene has not are passed over
//         [[output]]                                 read_output.h
//         [[include]], [[exclude]]
//         scene = "poster"                           a name, several in [ ], or with * for any letters; also artwork,
//         output = ["board", "sheet-*"]              colourway ("none": as drawn) and output. A rule holds where all
//                                                    of its keys do. Where there is an include, only what one of them
//                                                    holds for is made; what an exclude holds for is not.
// Names   of artwork and outputs: letters, digits, - and _, as they become file names. A scene's name is that of its file.
// Limits  a file of at most kMaxSceneBytes; kMaxRunScenes scenes, kMaxRunArtworks artworks, kMaxOutputs outputs, kMaxRules rules.
// Paths   as in a scene: in the run sheet's folder, the data folder, or one that the user allowed.
// Errors  as of a scene: every mistake, sorted by line. Files that are not there are reported by who reads them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "scene/output_spec.h"
#include "scene/read_scene.h"
#include "scene/scene.h"

namespace wheatpaste {

inline constexpr size_t kMaxRunScenes = 1000;
inline constexpr size_t kMaxRunArtworks = 10'000;
inline constexpr size_t kMaxOutputs = 64;
inline constexpr size_t kMaxRules = 256;
// The name, in rules, of artwork as it is drawn.
inline constexpr char kAsDrawn[] = "none";

struct RunScene {
  std::string name;          // of its file, without the ending
  Placed<std::string> file;  // resolved path
};

struct RunArtwork {
  Placed<std::string> name;
  std::map<std::string, Placed<std::string>> slots;  // resolved paths
};

// What a rule says of one kind of name: any of these patterns; none: whatever it is.
struct NamePatterns {
  std::vector<Placed<std::string>> patterns;
  bool Match(std::string_view name) const;
};

struct RunRule {
  NamePatterns scene, artwork, colourway, output;
  Place place;
};

struct RunSheet {
  std::string file;
  std::string title;
  std::vector<RunScene> scenes;
  std::vector<RunArtwork> artworks;
  std::vector<Swatch> swatches;
  std::vector<Colourway> colourways;
  std::vector<OutputSpec> outputs;
  std::vector<RunRule> include, exclude;
  std::optional<PrintCondition> print_condition;  // none: each scene's own
};

// A run sheet has scenes = [...] and no photo: what `check` tells it from a scene by.
bool LooksLikeRunSheet(const std::string& path);

Result<RunSheet> ReadRunSheet(const std::string& path, const ReadSceneOptions& options);

// The same from text; `path` serves for messages and as the base of relative paths.
Result<RunSheet> ParseRunSheet(std::string_view text, const std::string& path,
                               const ReadSceneOptions& options);

}  // namespace wheatpaste
