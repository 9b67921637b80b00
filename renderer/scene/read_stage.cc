// [stage] itself: the photograph's size and sampling, and which parts it has.
#include "scene/read_stage.h"

#include <map>

#include <fmt/format.h>

#include "base/files.h"
#include "scene/read_stage_parts.h"

namespace wheatpaste {
namespace {

constexpr double kMostSeed = 9007199254740992.0;  // whole numbers are exact up to here
constexpr NumberRule kSideRule{1, true, kMaxStageSidePx, "a whole number of px from 1 to 16000"};
constexpr NumberRule kSamplesRule{1, true, kMaxStageSamples, "a whole number from 1 to 65536"};
constexpr NumberRule kSeedRule{0, true, kMostSeed, "a whole number from 0 to 9007199254740992"};

void ReadSize(TableReader& table, Stage& stage) {
  const auto sides = table.Numbers("size", 2, kSideRule, "[width, height] in px");
  if (!sides) return;
  const TomlNode& node = *table.Find("size");
  for (size_t i = 0; i < 2; ++i) {
    if ((*sides)[i] == static_cast<double>(static_cast<int64_t>((*sides)[i]))) continue;
    table.mistakes().Add(node.items[i], table.SubjectOf("size", node),
                         fmt::format("expected {}", kSideRule.expected));
  }
  stage.size = {static_cast<int64_t>((*sides)[0]), static_cast<int64_t>((*sides)[1])};
  if (stage.size.area() > kMaxStagePx) {
    table.Refuse("size", node, "expected at most 40 million px in all");
  }
}

void ReadBase(TableReader& table, const ScenePaths& paths, Stage& stage) {
  const auto base = ReadFileName(table, "base", paths);
  if (!base) return;
  const std::string ending = EndingOf(base->value);
  if (ending != "tif" && ending != "tiff") {
    table.Refuse("base", *table.Find("base"), "expected a file ending in tif or tiff");
  }
  stage.base = *base;
}

void ReadLights(TableReader& table, const SceneContext& context, Stage& stage) {
  Mistakes& mistakes = table.mistakes();
  if (const auto light = ReadLinear(table, "background", context)) stage.background = *light;
  if (const TomlNode* node = FindTable(table, "light_map")) {
    stage.light_map = ReadStageLightMap(*node, context, mistakes);
  }
  for (const TomlNode* node : ReadAtMost(table, "soft_light", kMaxSoftLights)) {
    stage.soft_lights.push_back(ReadStageSoftLight(*node, context, stage.objects, mistakes));
  }
  if (const TomlNode* node = FindTable(table, "sun")) {
    stage.sun = ReadStageSun(*node, context, mistakes);
  }
  for (const char* key : {"light_map", "soft_light", "sun"}) {
    if (table.Find(key)) return;
  }
  mistakes.Add(table.table(), "stage",
               "expected some light: a [stage.light_map], a [[stage.soft_light]] or a [stage.sun]");
}

void ReadColourTransfer(TableReader& table, Stage& stage) {
  const TomlNode* node = table.Find("colour_transfer");
  if (!node) return;
  const auto refuse = [&](const TomlNode& at, const std::string& expected) {
    table.Refuse("colour_transfer", at, expected);
  };
  if (node->kind != TomlKind::kArray || node->items.size() > kMaxStageTransfers) {
    return refuse(*node, fmt::format("expected at most {} faces in [ ], such as [\"carton.front\"]",
                                     kMaxStageTransfers));
  }
  for (const TomlNode& item : node->items) {
    if (item.kind != TomlKind::kString) {
      refuse(item, "expected a face, such as \"carton.front\"");
      continue;
    }
    const size_t dot = item.text.find('.');
    const std::string name = item.text.substr(0, dot);
    const auto found =
        std::find_if(stage.objects.begin(), stage.objects.end(),
                     [&](const StageObject& object) { return object.name.value == name; });
    const auto same = std::find_if(
        stage.colour_transfer.begin(), stage.colour_transfer.end(),
        [&](const StageTransfer& transfer) { return transfer.name.value == item.text; });
    if (name.empty() || found == stage.objects.end()) {
      refuse(item, UnknownObject(name, stage.objects));
    } else if (same != stage.colour_transfer.end()) {
      refuse(item, "expected each face once");
    } else {
      stage.colour_transfer.push_back(
          {{item.text, table.mistakes().PlaceOf(item), table.KeyOf("colour_transfer")},
           static_cast<size_t>(found - stage.objects.begin()),
           dot == std::string::npos ? "" : item.text.substr(dot + 1)});
    }
  }
}

// One text for one content, whatever its order and layout.
void WriteContent(const TomlNode& node, std::string& text) {
  switch (node.kind) {
    case TomlKind::kTable: {
      std::map<std::string, const TomlNode*> sorted;
      for (const TomlEntry& entry : node.entries) sorted[entry.key] = &entry.value;
      text += '{';
      for (const auto& [key, value] : sorted) {
        text += fmt::format("{}:{}=", key.size(), key);
        WriteContent(*value, text);
      }
      text += '}';
      return;
    }
    case TomlKind::kArray:
      text += '[';
      for (const TomlNode& item : node.items) WriteContent(item, text);
      text += ']';
      return;
    case TomlKind::kNumber:
      text += fmt::format("{};", node.number);
      return;
    default:
      text += fmt::format("{}:{};", node.text.size(), node.text);
  }
}

std::string ContentOf(const TomlNode& stage) {
  TomlNode counting = stage;
  std::erase_if(counting.entries, [](const TomlEntry& entry) {
    return entry.key == "base" || entry.key == "samples";
  });
  std::string text;
  WriteContent(counting, text);
  return text;
}

}  // namespace

std::vector<std::string> FilesOf(const Stage& stage) {
  std::vector<std::string> files;
  const auto add = [&files](const std::optional<Placed<std::string>>& file) {
    if (file) files.push_back(file->value);
  };
  add(stage.base);
  if (stage.light_map) add(stage.light_map->file);
  for (const StageObject& object : stage.objects) {
    if (const auto* carton = std::get_if<CartonSolid>(&object.solid)) add(carton->dieline);
    if (const auto* mesh = std::get_if<MeshSolid>(&object.solid)) add(mesh->file);
    for (const StageMaterial& material : object.materials) {
      if (!material.texture) continue;
      add(material.texture->colour);
      add(material.texture->normal);
      add(material.texture->roughness);
      add(material.texture->displacement);
    }
  }
  return files;
}

const TomlNode* FindTable(TableReader& table, std::string_view key) {
  const TomlNode* node = table.Find(key);
  if (!node || node->kind == TomlKind::kTable) return node;
  table.Refuse(key, *node, fmt::format("expected a [{}] table", table.KeyOf(key)));
  return nullptr;
}

std::shared_ptr<const Stage> ReadStage(TableReader& root, const SceneContext& context) {
  const TomlNode* node = FindTable(root, "stage");
  if (!node) return nullptr;
  Mistakes& mistakes = root.mistakes();
  TableReader table(*node, "stage", mistakes);
  auto stage = std::make_shared<Stage>();
  stage->place = mistakes.PlaceOf(*node);
  stage->text = ContentOf(*node);
  ReadSize(table, *stage);
  if (const auto samples = table.Whole("samples", kSamplesRule)) {
    stage->samples = static_cast<int>(*samples);
  }
  stage->denoise = table.Flag("denoise").value_or(true);
  if (const auto seed = table.Whole("seed", kSeedRule)) stage->seed = static_cast<uint64_t>(*seed);
  ReadBase(table, context.paths, *stage);
  // First, as camera and lights may aim at them.
  table.Require("object", "at least one [[stage.object]] table");
  for (const TomlNode* object : ReadAtMost(table, "object", kMaxStageObjects)) {
    stage->objects.push_back(ReadStageObject(*object, context, stage->objects, mistakes));
  }
  const TomlNode* objects = table.Find("object");
  if (objects && objects->kind == TomlKind::kArray && objects->items.empty()) {
    table.Refuse("object", *objects, "expected at least one [[stage.object]] table");
  }
  ReadColourTransfer(table, *stage);
  table.Require("camera", "a [stage.camera] table");
  if (const TomlNode* camera = FindTable(table, "camera")) {
    stage->camera = ReadStageCamera(*camera, stage->objects, mistakes);
  }
  ReadLights(table, context, *stage);
  table.RefuseUnknown();
  return stage;
}

}  // namespace wheatpaste
