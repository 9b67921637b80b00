// presets.h - the materials, inks and finishes that scenes share: shared/substrates.toml, inks.toml, finishes.toml.
//
// Rule    an inline table in a scene is read by the same function as the preset's numbers (read_material.h).
// Errors  a broken preset file is reported like a scene: every mistake, at its line.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "scene/table_reader.h"

namespace wheatpaste {

// Stands in where a scene leaves `substrate` out; its `stated` is then false.
inline constexpr char kDefaultSubstrate[] = "coated paper";
inline constexpr char kDefaultInk[] = "transparent";
inline constexpr size_t kMaxListed = 24;  // names of presets in one message

struct Presets {
  std::vector<Substrate> substrates;  // holds kDefaultSubstrate
  std::vector<Ink> inks;              // holds kDefaultInk
  std::vector<Finish> finishes;

  const Substrate* FindSubstrate(const std::string& name) const;
  const Ink* FindInk(const std::string& name) const;
};

// data_folder  holds shared/.
Result<Presets> ReadPresets(const std::string& data_folder);

// The preset that `node` names; notes an unknown name with its nearest and the list of all, `also` after it.
template <typename Preset>
const Preset* FindPreset(TableReader& table, std::string_view key, const TomlNode& node,
                         const std::vector<Preset>& presets, std::string_view also = "");

// A file of shared/ as a tree, at most 1 MiB long; `path` receives its path, for messages.
Result<TomlNode> ReadSharedFile(const std::string& data_folder, const std::string& name,
                                std::string& path);

// The tables of the array `key` ([[key]]) of `root`; notes what is not one.
std::vector<const TomlNode*> ReadTables(TableReader& root, const std::string& key);
// The first `most` of them; notes that there are more.
std::vector<const TomlNode*> ReadAtMost(TableReader& root, const std::string& key, size_t most);

}  // namespace wheatpaste
