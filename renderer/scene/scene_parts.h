// scene_parts.h - the parts of a scene file, each read by one function; used by read_scene.cc only.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scene/presets.h"
#include "scene/scene.h"
#include "scene/scene_paths.h"
#include "scene/table_reader.h"

namespace wheatpaste {

// What every part of a scene is read against.
struct SceneContext {
  const Presets& presets;
  const ScenePaths& paths;
  const std::vector<Swatch>& swatches;
};

// A surface as far as it could be read, and what placements on it must know.
struct SurfaceDraft {
  Surface surface;
  bool readable = false;  // false: its shape is not known
  bool mm_known = false;  // lengths on it mean something; also when the size itself was refused
  // light_from, where no folds are read by it: some finish on the surface has to.
  const TomlNode* unread_light = nullptr;
};

SurfaceDraft ReadSurface(const TomlNode& node, const SceneContext& context,
                         const std::vector<SurfaceDraft>& earlier, Mistakes& mistakes);

// surfaces  all of the scene's, in its order.
Placement ReadPlacement(const TomlNode& node, const SceneContext& context,
                        const std::vector<SurfaceDraft>& surfaces, Mistakes& mistakes);

// The table [frame] of `root`, which may be missing (read_frame.cc).
std::optional<FramedPart> ReadFrame(TableReader& root, const std::vector<SurfaceDraft>& surfaces);

// The file named under `key`, resolved; nothing where the key is missing or refused.
std::optional<Placed<std::string>> ReadFileName(TableReader& table, std::string_view key,
                                                const ScenePaths& paths);

// Letters, digits, - and _: names that the command line and file names can hold.
bool IsSlotName(const std::string& text);

// The table's `name`: such a name, at most kMaxOwnNameBytes long, that none of `earlier` has. Where it is refused
// the place is that of the table.
// example  for the message, quoted.
inline constexpr size_t kMaxOwnNameBytes = 64;
template <typename Named>
Placed<std::string> ReadOwnName(TableReader& table, const std::string& example,
                                const std::vector<Named>& earlier) {
  Placed<std::string> name{"", table.mistakes().PlaceOf(table.table()), table.KeyOf("name")};
  table.Require("name", "a name, such as " + example);
  const TomlNode* node = table.Line("name", kMaxOwnNameBytes);
  if (!node) return name;
  if (!IsSlotName(node->text)) {
    table.Refuse("name", *node, "expected letters, digits, - and _");
    return name;
  }
  for (const Named& other : earlier) {
    if (other.name.value != node->text) continue;
    table.Refuse("name", *node, "already used in line " + std::to_string(other.name.place.line));
  }
  name.value = node->text;
  name.place = table.mistakes().PlaceOf(*node);
  return name;
}

// Coordinates and lengths: the same limits everywhere.
inline constexpr NumberRule kCoordinateRule{-1e6, true, 1e6, "a number from -1000000 to 1000000"};
inline constexpr NumberRule kLengthRule{0, false, 1e6, "a length above 0 mm, at most 1000000 mm"};
inline constexpr size_t kMaxSceneNameBytes = 100;

}  // namespace wheatpaste
