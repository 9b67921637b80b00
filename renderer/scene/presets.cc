#include "scene/presets.h"

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/preset_file.h"
#include "scene/read_finish.h"
#include "scene/read_material.h"

namespace wheatpaste {
namespace {

constexpr int64_t kMaxSharedBytes = int64_t{1} << 20;

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
  const std::string name = root.KeyOf(key);
  const std::string expected = fmt::format("expected [[{}]] tables, in double brackets", name);
  if (array->kind != TomlKind::kArray) {
    root.Refuse(key, *array, expected);
    return tables;
  }
  for (const TomlNode& item : array->items) {
    if (item.kind == TomlKind::kTable) {
      tables.push_back(&item);
    } else {
      root.mistakes().Add(item, name, expected);
    }
  }
  return tables;
}

std::vector<const TomlNode*> ReadAtMost(TableReader& root, const std::string& key, size_t most) {
  std::vector<const TomlNode*> tables = ReadTables(root, key);
  if (tables.size() > most) {
    root.mistakes().Add(*tables[most], root.KeyOf(key),
                        fmt::format("expected at most {} of them", most));
    tables.resize(most);
  }
  return tables;
}

}  // namespace wheatpaste
