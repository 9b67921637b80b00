// preset_file.h - a file of shared/ that is a list of named presets; inside scene/ only.
//
// Form    [[key]] tables, each with a name of its own and the source of its numbers; what else, `read` says.
#pragma once

#include <string>
#include <vector>

#include <fmt/format.h>

#include "base/error.h"
#include "scene/presets.h"
#include "scene/table_reader.h"

namespace wheatpaste {

inline constexpr size_t kMaxPresetNameBytes = 64;
inline constexpr size_t kMaxSourceBytes = 400;

template <typename Preset>
const Preset* FindByName(const std::vector<Preset>& presets, const std::string& name) {
  for (const Preset& preset : presets) {
    if (preset.name == name) return &preset;
  }
  return nullptr;
}

template <typename Preset>
std::vector<std::string> NamesOf(const std::vector<Preset>& presets) {
  std::vector<std::string> names;
  for (const Preset& preset : presets) names.push_back(preset.name);
  return names;
}

// Name and source, which every preset states; notes a name that is used twice.
template <typename Preset>
void ReadNameAndSource(TableReader& table, const std::vector<Preset>& earlier, Preset& preset) {
  table.Require("name", "the preset's name");
  if (const TomlNode* name = table.Line("name", kMaxPresetNameBytes)) {
    preset.name = name->text;
    if (FindByName(earlier, preset.name)) {
      table.Refuse("name", *name, "expected a name of its own; an earlier preset has it");
    }
  }
  table.Require("source", "where the numbers come from");
  table.Line("source", kMaxSourceBytes);
}

// needed  the name that must be there; "": none must.
template <typename Preset, typename Read>
Result<std::vector<Preset>> ReadPresetFile(const std::string& data_folder, const std::string& name,
                                           const std::string& key, const std::string& needed,
                                           const Read& read) {
  std::string path;
  const Result<TomlNode> root = ReadSharedFile(data_folder, name, path);
  if (!root.ok()) return root.errors();
  Mistakes mistakes(path);
  TableReader file(*root, "", mistakes);
  std::vector<Preset> presets;
  for (const TomlNode* node : ReadTables(file, key)) {
    TableReader table(*node, key, mistakes);
    Preset preset;
    ReadNameAndSource(table, presets, preset);
    read(table, preset);
    table.RefuseUnknown();
    presets.push_back(std::move(preset));
  }
  file.RefuseUnknown();
  if (!needed.empty() && !FindByName(presets, needed)) {
    mistakes.Add(*root, key, fmt::format("missing; expected one with the name \"{}\"", needed));
  }
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  return presets;
}

}  // namespace wheatpaste
