// A [[stage.object]]: its name, its place, its materials; its solid is read by read_stage_solid.cc.
#include "scene/nearest_name.h"
#include "scene/read_finish.h"
#include "scene/read_stage.h"
#include "scene/read_stage_parts.h"
#include "scene/read_substrate.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kRoughnessRule{0, true, 1, "a roughness from 0 (mirror) to 1"};
constexpr NumberRule kReliefRule{0, true, 1000, "a height in mm, from 0 to 1000"};
constexpr NumberRule kNormalRule{0, true, 10, "a factor from 0 to 10"};
constexpr size_t kMaxPartBytes = 64;

void ReadTile(TableReader& table, StageTexture& texture) {
  constexpr char kExpected[] = "mm that one copy covers: a number, or [width, height]";
  const TomlNode* node = table.Require("tile", kExpected);
  if (!node) return;
  if (node->kind == TomlKind::kNumber) {
    if (const auto side = table.Number("tile", kLengthRule)) texture.tile_mm = {*side, *side};
  } else if (const auto sides = table.Numbers("tile", 2, kLengthRule, kExpected)) {
    texture.tile_mm = {(*sides)[0], (*sides)[1]};
  }
}

// A number that means nothing without the picture under `beside`.
void RefuseAlone(TableReader& table, const char* key, const char* beside) {
  const TomlNode* node = table.Find(key);
  if (node && !table.Find(beside)) {
    table.Refuse(key, *node, fmt::format("expected {} beside it", beside));
  }
}

StageTexture ReadTexture(const TomlNode& node, const std::string& name, const ScenePaths& paths,
                         Mistakes& mistakes) {
  StageTexture texture;
  TableReader table(node, name, mistakes);
  texture.colour = ReadFileName(table, "colour", paths);
  texture.normal = ReadFileName(table, "normal", paths);
  texture.roughness = ReadFileName(table, "roughness", paths);
  texture.displacement = ReadFileName(table, "displacement", paths);
  if (!table.Find("colour") && !table.Find("normal") && !table.Find("roughness") &&
      !table.Find("displacement")) {
    table.Require("colour", "a picture, or normal, roughness or displacement in its place");
  }
  ReadTile(table, texture);
  texture.turn = table.Number("turn", kAngleRule).value_or(0);
  texture.normal_strength = table.Number("normal_strength", kNormalRule).value_or(1);
  RefuseAlone(table, "normal_strength", "normal");
  if (table.Find("displacement")) {
    table.Require("displacement_mm", "the height of the picture's white above its black, mm");
  }
  texture.displacement_mm = table.Number("displacement_mm", kReliefRule).value_or(0);
  RefuseAlone(table, "displacement_mm", "displacement");
  table.RefuseUnknown();
  return texture;
}

// What a table, of an object or of a part, says of its material.
StageMaterial ReadMaterial(TableReader& table, const SceneContext& context) {
  StageMaterial material;
  material.place = table.mistakes().PlaceOf(table.table());
  Placed<Substrate> substrate = ReadSubstrate(table, context, SubstrateFrom::kNotPhoto);
  if (const auto metal = table.Word("metal", MetalNames())) {
    material.metal = static_cast<Metal>(*metal);
  }
  material.glass = table.Flag("glass").value_or(false);
  const char* stated = nullptr;
  for (const char* key : {"substrate", "metal", "glass"}) {
    const TomlNode* node = table.Find(key);
    if (!node || (node->kind == TomlKind::kBool && node->text == "false")) continue;
    if (stated) table.Refuse(key, *node, fmt::format("expected {} or {}, not both", stated, key));
    stated = key;
  }
  if (!material.metal && !material.glass) material.substrate = std::move(substrate);
  material.roughness = table.Number("roughness", kRoughnessRule);
  if (const TomlNode* texture = table.Find("texture")) {
    if (texture->kind == TomlKind::kTable) {
      material.texture =
          ReadTexture(*texture, table.KeyOf("texture"), context.paths, table.mistakes());
    } else {
      table.Refuse("texture", *texture,
                   "expected { colour = \"FILE\", tile = [width, height] }, tile in mm");
    }
  }
  return material;
}

StageMaterial ReadPart(const TomlNode& node, const std::string& name, const SceneContext& context,
                       const std::vector<StageMaterial>& earlier, Mistakes& mistakes) {
  TableReader table(node, name, mistakes);
  table.Require("name", "the part's name, such as \"handles\"");
  const TomlNode* part = table.Line("name", kMaxPartBytes);
  StageMaterial material = ReadMaterial(table, context);
  if (part) {
    material.part = part->text;
    for (const StageMaterial& other : earlier) {
      if (other.part != material.part) continue;
      table.Refuse("name", *part, fmt::format("already used in line {}", other.place.line));
    }
  }
  table.RefuseUnknown();
  return material;
}

}  // namespace

std::vector<StageMaterial> ReadStageMaterials(TableReader& object, const SceneContext& context) {
  std::vector<StageMaterial> materials{ReadMaterial(object, context)};
  for (const TomlNode* node : ReadAtMost(object, "part", kMaxStageParts)) {
    materials.push_back(
        ReadPart(*node, object.KeyOf("part"), context, materials, object.mistakes()));
  }
  return materials;
}

StageObject ReadStageObject(const TomlNode& node, const SceneContext& context,
                            const std::vector<StageObject>& earlier, Mistakes& mistakes) {
  StageObject object;
  object.place = mistakes.PlaceOf(node);
  TableReader table(node, "stage.object", mistakes);
  object.name = ReadOwnName(table, "\"carton\"", earlier);
  auto solid = ReadStageSolid(table, context.paths);
  if (!solid) return object;  // its other keys belong to a solid that is not known
  object.solid = *std::move(solid);
  if (const auto at = ReadPoint(table, "at")) object.at = *at;
  object.turn = table.Number("turn", kAngleRule).value_or(0);
  object.tilt = table.Number("tilt", kAngleRule).value_or(0);
  object.lean = table.Number("lean", kAngleRule).value_or(0);
  object.materials = ReadStageMaterials(table, context);
  table.RefuseUnknown();
  return object;
}

}  // namespace wheatpaste
