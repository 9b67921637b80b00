// read_scene.h - a scene file (TOML 1.0) to a Scene; the whole file is checked, every mistake reported.
//
// Form    the scene file contract is in DEVELOPERS.md; keys are those of scene.h.
// Limits  a file of at most kMaxSceneBytes; at most kMaxSurfaces surfaces and kMaxPlacements placements.
// Paths   a file named in a scene must lie (links followed) in the scene's folder, the program's data
//         folder, or a folder that the user allowed on the command line.
// Errors  unknown key (with the nearest known one), wrong type, out of range, not finite, missing,
//         unknown preset (the nearest named), a name that is used twice, a placement on no surface.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"

namespace wheatpaste {

inline constexpr int64_t kMaxSceneBytes = int64_t{4} << 20;
inline constexpr size_t kMaxSurfaces = 256;
inline constexpr size_t kMaxPlacements = 1024;

struct ReadSceneOptions {
  std::string data_folder;                   // holds shared/ and assets-open/
  std::vector<std::string> allowed_folders;  // beside the scene's own and the data folder
};

Result<Scene> ReadScene(const std::string& path, const ReadSceneOptions& options);

// The same from text; `path` serves for messages and as the base of relative paths.
Result<Scene> ParseScene(std::string_view text, const std::string& path,
                         const ReadSceneOptions& options);

}  // namespace wheatpaste
