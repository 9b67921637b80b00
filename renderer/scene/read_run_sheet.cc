#include <algorithm>
#include <filesystem>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/presets.h"
#include "scene/print_condition.h"
#include "scene/read_colour.h"
#include "scene/read_colourways.h"
#include "scene/read_output.h"
#include "scene/run_sheet.h"
#include "scene/scene_parts.h"
#include "scene/scene_paths.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxTitleBytes = 200;
constexpr size_t kMaxNameBytes = 64;
constexpr size_t kMaxSlots = 64;
constexpr size_t kMaxPatterns = 64;

// Does `pattern`, in which each * stands for any letters, fit the whole of `name`? Only the last star met is ever tried
// further on: what it takes more, no earlier one need take.
bool Fits(std::string_view pattern, std::string_view name) {
  size_t p = 0, n = 0;
  std::optional<std::pair<size_t, size_t>> star;  // after the star, and where it has taken to
  while (n < name.size()) {
    if (p < pattern.size() && pattern[p] == '*') {
      star = {++p, n};
    } else if (p < pattern.size() && pattern[p] == name[n]) {
      ++p;
      ++n;
    } else if (star) {
      p = star->first;
      n = ++star->second;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == '*') ++p;
  return p == pattern.size();
}

void ReadScenes(TableReader& root, const ScenePaths& paths, std::vector<RunScene>& scenes) {
  constexpr char kExpected[] =
      "expected the scenes' file names, such as [\"poster.toml\", \"carton.toml\"]";
  root.Require("scenes", "the scenes' file names, such as [\"poster.toml\", \"carton.toml\"]");
  const TomlNode* node = root.Find("scenes");
  if (!node) return;
  const bool strings =
      node->kind == TomlKind::kArray && !node->items.empty() &&
      std::all_of(node->items.begin(), node->items.end(), [](const TomlNode& item) {
        return item.kind == TomlKind::kString && LineComplaint(item.text, kMaxPathBytes).empty();
      });
  if (!strings) return root.Refuse("scenes", *node, kExpected);
  if (node->items.size() > kMaxRunScenes) {
    return root.Refuse("scenes", *node, fmt::format("expected at most {}", kMaxRunScenes));
  }
  for (const TomlNode& item : node->items) {
    const auto path = paths.Resolve(item.text);
    if (!path) {
      root.Refuse("scenes", item, path.errors().front().message);
      continue;
    }
    RunScene scene;
    scene.name = std::filesystem::path(item.text).stem().string();
    scene.file = {*path, root.mistakes().PlaceOf(item), "scenes"};
    if (scene.name.empty() || scene.name == "." || scene.name == "..") {
      root.Refuse("scenes", item, "expected a file name that ends in .toml");
      continue;
    }
    const auto same = std::find_if(scenes.begin(), scenes.end(),
                                   [&](const RunScene& other) { return other.name == scene.name; });
    if (same != scenes.end()) {
      root.Refuse("scenes", item,
                  fmt::format("an earlier scene's file is called {} too; the name is that of the "
                              "folder its pictures go to",
                              PrintableText(scene.name)));
      continue;
    }
    scenes.push_back(std::move(scene));
  }
}

RunArtwork ReadRunArtwork(const TomlNode& node, const ScenePaths& paths,
                          const std::vector<RunArtwork>& earlier, Mistakes& mistakes) {
  TableReader table(node, "artwork", mistakes);
  RunArtwork artwork;
  artwork.name = ReadOwnName(table, "\"primary\"", earlier);
  table.Require("slots", "{ SLOT = \"FILE\" }, such as { mark = \"art/primary.svg\" }");
  if (const TomlNode* slots = table.Find("slots")) {
    if (slots->kind != TomlKind::kTable || slots->entries.size() > kMaxSlots) {
      table.Refuse("slots", *slots,
                   fmt::format("expected {{ SLOT = \"FILE\" }}, at most {} of them", kMaxSlots));
    } else {
      TableReader inside(*slots, "artwork.slots", mistakes);
      for (const TomlEntry& entry : slots->entries) {
        if (!IsSlotName(entry.key)) {
          mistakes.Add(Place{mistakes.file(), entry.line, entry.column}, inside.KeyOf(entry.key),
                       "expected a slot's name: letters, digits, - and _");
        } else if (auto file = ReadFileName(inside, entry.key, paths)) {
          artwork.slots.emplace(entry.key, *std::move(file));
        }
      }
    }
  }
  table.RefuseUnknown();
  return artwork;
}

// names  that there are; a pattern that fits none of them is a mistake.
NamePatterns ReadPatterns(TableReader& table, const char* key,
                          const std::vector<std::string>& names) {
  NamePatterns read;
  const TomlNode* node = table.Find(key);
  if (!node) return read;
  constexpr char kExpected[] = "expected a name, or several in [ ]; * stands for any letters";
  std::vector<const TomlNode*> items;
  if (node->kind == TomlKind::kArray) {
    for (const TomlNode& item : node->items) items.push_back(&item);
  } else {
    items.push_back(node);
  }
  if (items.empty() || items.size() > kMaxPatterns) {
    table.Refuse(key, *node, kExpected);
    return read;
  }
  for (const TomlNode* item : items) {
    if (item->kind != TomlKind::kString || !LineComplaint(item->text, kMaxNameBytes).empty()) {
      table.Refuse(key, *item, kExpected);
      continue;
    }
    const bool fits = std::any_of(names.begin(), names.end(), [item](const std::string& name) {
      return Fits(item->text, name);
    });
    if (!fits) {
      const std::string nearest = NearestName(item->text, names);
      table.Refuse(key, *item,
                   fmt::format("nothing has this name; there {} {}{}",
                               names.size() == 1 ? "is" : "are", QuotedList(names),
                               nearest.empty() ? "" : fmt::format("; did you mean {}?", nearest)));
      continue;
    }
    read.patterns.push_back({item->text, table.mistakes().PlaceOf(*item), table.KeyOf(key)});
  }
  return read;
}

template <typename Items, typename NameOf>
std::vector<std::string> NamesOf(const Items& items, const NameOf& name_of) {
  std::vector<std::string> names;
  for (const auto& item : items) names.push_back(name_of(item));
  return names;
}

std::vector<RunRule> ReadRules(TableReader& root, const char* key, const RunSheet& sheet) {
  const auto scenes = NamesOf(sheet.scenes, [](const RunScene& one) { return one.name; });
  const auto own_name = [](const auto& one) { return one.name.value; };
  const auto artworks = NamesOf(sheet.artworks, own_name);
  auto colourways = NamesOf(sheet.colourways, own_name);
  colourways.insert(colourways.begin(), kAsDrawn);
  const auto outputs = NamesOf(sheet.outputs, own_name);
  std::vector<RunRule> rules;
  for (const TomlNode* node : ReadAtMost(root, key, kMaxRules)) {
    TableReader table(*node, key, root.mistakes());
    RunRule rule;
    rule.place = root.mistakes().PlaceOf(*node);
    rule.scene = ReadPatterns(table, "scene", scenes);
    rule.artwork = ReadPatterns(table, "artwork", artworks);
    rule.colourway = ReadPatterns(table, "colourway", colourways);
    rule.output = ReadPatterns(table, "output", outputs);
    if (node->entries.empty()) {
      root.mistakes().Add(*node, key,
                          "expected at least one of scene, artwork, colourway and output");
    }
    table.RefuseUnknown();
    rules.push_back(std::move(rule));
  }
  return rules;
}

}  // namespace

bool NamePatterns::Match(std::string_view name) const {
  return patterns.empty() ||
         std::any_of(patterns.begin(), patterns.end(),
                     [name](const Placed<std::string>& one) { return Fits(one.value, name); });
}

bool LooksLikeRunSheet(const std::string& path) {
  const auto bytes = ReadWholeFile({path, {path}, ""}, kMaxSceneBytes);
  if (!bytes) return false;
  const auto root = ParseToml({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path);
  if (!root) return false;
  const auto has = [&root](std::string_view key) {
    return std::any_of(root->entries.begin(), root->entries.end(),
                       [key](const TomlEntry& entry) { return entry.key == key; });
  };
  return has("scenes") && !has("photo");
}

Result<RunSheet> ReadRunSheet(const std::string& path, const ReadSceneOptions& options) {
  const Result<Bytes> bytes = ReadWholeFile({path, {path}, ""}, kMaxSceneBytes);
  if (!bytes.ok()) return bytes.errors();
  return ParseRunSheet({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path,
                       options);
}

Result<RunSheet> ParseRunSheet(std::string_view text, const std::string& path,
                               const ReadSceneOptions& options) {
  const Result<TomlNode> file = ParseToml(text, path);
  if (!file.ok()) return file.errors();
  const ScenePaths paths(path, options);
  Mistakes mistakes(path);
  TableReader root(*file, "", mistakes);
  RunSheet sheet;
  sheet.file = path;
  if (const TomlNode* title = root.Line("title", kMaxTitleBytes)) sheet.title = title->text;
  ReadScenes(root, paths, sheet.scenes);
  sheet.print_condition = ReadPrintCondition(root, paths, options.data_folder);
  sheet.swatches = ReadSwatches(root);
  const auto tables = [&](const char* key, const char* expected, size_t most) {
    root.Require(key, expected);
    return ReadAtMost(root, key, most);
  };
  for (const TomlNode* node :
       tables("artwork", "at least one [[artwork]] table", kMaxRunArtworks)) {
    sheet.artworks.push_back(ReadRunArtwork(*node, paths, sheet.artworks, mistakes));
  }
  sheet.colourways = ReadColourways(root);
  for (const Colourway& colourway : sheet.colourways) {
    if (colourway.name.value != kAsDrawn) continue;
    mistakes.Add(colourway.name.place, fmt::format("colourway.name = \"{}\"", kAsDrawn),
                 "expected another name; this one stands for artwork as it is drawn");
  }
  for (const TomlNode* node : tables("output", "at least one [[output]] table", kMaxOutputs)) {
    TableReader table(*node, "output", mistakes);
    OutputSpec output = ReadOutput(table, options.data_folder, paths, sheet.swatches);
    if (!output.name.value.empty()) output.name = ReadOwnName(table, "\"slide\"", sheet.outputs);
    sheet.outputs.push_back(std::move(output));
  }
  sheet.include = ReadRules(root, "include", sheet);
  sheet.exclude = ReadRules(root, "exclude", sheet);
  root.RefuseUnknown();
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  return sheet;
}

}  // namespace wheatpaste
