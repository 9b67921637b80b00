#include "scene/presets.h"

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/read_finish.h"
#include "scene/read_material.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMaxSharedBytes = int64_t{1} << 20;
constexpr size_t kMaxNameBytes = 64;
constexpr size_t kMaxSourceBytes = 400;

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
  if (const TomlNode* name = table.Line("name", kMaxNameBytes)) {
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

}  // namespace

const Substrate* Presets::FindSubstrate(const std::string& name) const {
  return FindByName(substrates, name);
}

const Ink* Presets::FindInk(const std::string& name) const { return FindByName(inks, name); }

Result<Presets> ReadPresets(const std::string& data_folder) {
  const MaterialContext context{{}, nullptr};
  auto substrates =
      ReadPresetFile<Substrate>(data_folder, "substrates.toml", "substrate", kDefaultSubstrate,
                                [&context](TableReader& table, Substrate& substrate) {
                                  ReadSubstrateTable(table, context, substrate);
                                });
  auto inks = ReadPresetFile<Ink>(
      data_folder, "inks.toml", "ink", kDefaultInk,
      [&context](TableReader& table, Ink& ink) { ReadInkTable(table, context, ink); });
  auto finishes = ReadPresetFile<Finish>(
      data_folder, "finishes.toml", "finish", "",
      [](TableReader& table, Finish& finish) { ReadFinishNumbers(table, finish); });
  if (substrates.ok() && inks.ok() && finishes.ok()) {
    return Presets{*std::move(substrates), *std::move(inks), *std::move(finishes)};
  }
  Errors errors;
  if (!substrates.ok()) errors = substrates.errors();
  if (!inks.ok()) errors.insert(errors.end(), inks.errors().begin(), inks.errors().end());
  if (!finishes.ok()) {
    errors.insert(errors.end(), finishes.errors().begin(), finishes.errors().end());
  }
  return errors;
}

template <typename Preset>
const Preset* FindPreset(TableReader& table, std::string_view key, const TomlNode& node,
                         const std::vector<Preset>& presets, std::string_view also) {
  if (const Preset* preset = FindByName(presets, node.text)) return preset;
  const std::vector<std::string> names = NamesOf(presets);
  const std::string nearest = NearestName(node.text, names);
  table.Refuse(key, node,
               fmt::format("unknown preset; {}there are {}{}",
                           nearest.empty() ? "" : fmt::format("did you mean \"{}\"? ", nearest),
                           QuotedList(names, kMaxListed), also));
  return nullptr;
}
template const Substrate* FindPreset(TableReader&, std::string_view, const TomlNode&,
                                     const std::vector<Substrate>&, std::string_view);
template const Finish* FindPreset(TableReader&, std::string_view, const TomlNode&,
                                  const std::vector<Finish>&, std::string_view);
template const Ink* FindPreset(TableReader&, std::string_view, const TomlNode&,
                               const std::vector<Ink>&, std::string_view);

Result<TomlNode> ReadSharedFile(const std::string& data_folder, const std::string& name,
                                std::string& path) {
  path = JoinPath(JoinPath(data_folder, "shared"), name);
  const Result<Bytes> bytes = ReadWholeFile({path, {path}, ""}, kMaxSharedBytes);
  if (!bytes.ok()) return bytes.errors();
  return ParseToml({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path);
}

std::vector<const TomlNode*> ReadTables(TableReader& root, const std::string& key) {
  std::vector<const TomlNode*> tables;
  const TomlNode* array = root.Find(key);
  if (!array) return tables;
  const std::string expected = fmt::format("expected [[{}]] tables, in double brackets", key);
  if (array->kind != TomlKind::kArray) {
    root.Refuse(key, *array, expected);
    return tables;
  }
  for (const TomlNode& item : array->items) {
    if (item.kind == TomlKind::kTable) {
      tables.push_back(&item);
    } else {
      root.mistakes().Add(item, key, expected);
    }
  }
  return tables;
}

}  // namespace wheatpaste
