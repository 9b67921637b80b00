// [stage.camera], and points of the world that may be named by an object.
#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/read_stage_parts.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kFocalRule{1, true, 1e4,
                                "a focal length in mm on 36 x 24 mm, from 1 to 10000"};
constexpr NumberRule kFNumberRule{0, false, 1000, "an f-number above 0, at most 1000"};
constexpr NumberRule kStopsRule{-30, true, 30, "stops from -30 to 30"};

// at, or distance with around and height.
void ReadStand(TableReader& table, StageCamera& camera) {
  const TomlNode* at = table.Find("at");
  const TomlNode* distance = table.Find("distance");
  if (const auto point = ReadPoint(table, "at")) camera.at = *point;
  StageStand stand;
  stand.distance = table.Number("distance", kLengthRule).value_or(0);
  stand.around = table.Number("around", kAngleRule).value_or(0);
  stand.height = table.Number("height", kCoordinateRule);
  if (distance) {
    camera.stand = stand;
    if (at) table.Refuse("distance", *distance, "expected at or distance, not both");
    return;
  }
  if (!at) table.Require("at", "[x, y, z] in mm, or distance");
  for (const char* key : {"around", "height"}) {
    if (const TomlNode* node = table.Find(key)) {
      table.Refuse(key, *node, "expected distance beside it, in plan from what the camera aims at");
    }
  }
}

void ReadLens(TableReader& table, const std::vector<StageObject>& objects, StageLens& lens) {
  lens.f_number = table.Number("f_number", kFNumberRule).value_or(0);
  const TomlNode* focus = table.Find("focus");
  if (!focus) return;
  if (focus->kind == TomlKind::kString) {
    lens.focus_object = ReadObjectName(table, "focus", *focus, objects);
  } else {
    lens.focus_mm = table.Number("focus", kLengthRule);
  }
  if (!table.Find("f_number")) {
    table.Refuse("focus", *focus, "expected f_number beside it; without one everything is sharp");
  }
}

}  // namespace

std::optional<Eigen::Vector3d> ReadPoint(TableReader& table, std::string_view key) {
  const auto xyz = table.Numbers(key, 3, kCoordinateRule, "[x, y, z] in mm");
  if (!xyz) return {};
  return Eigen::Vector3d{(*xyz)[0], (*xyz)[1], (*xyz)[2]};
}

std::string UnknownObject(const std::string& name, const std::vector<StageObject>& objects) {
  std::vector<std::string> names;
  for (const StageObject& object : objects) names.push_back(object.name.value);
  const std::string nearest = NearestName(name, names);
  std::string hint = "there are no objects";
  if (!nearest.empty()) {
    hint = fmt::format("did you mean \"{}\"?", nearest);
  } else if (!names.empty()) {
    hint = fmt::format("there {} {}", names.size() == 1 ? "is" : "are", QuotedList(names));
  }
  return "no object of the stage has this name; " + hint;
}

std::optional<StageObjectName> ReadObjectName(TableReader& table, std::string_view key,
                                              const TomlNode& node,
                                              const std::vector<StageObject>& objects) {
  for (const StageObject& object : objects) {
    if (object.name.value == node.text && !node.text.empty()) {
      return StageObjectName{node.text, table.mistakes().PlaceOf(node), table.KeyOf(key)};
    }
  }
  // An object whose name was refused may be the one that is meant.
  for (const StageObject& object : objects) {
    if (object.name.value.empty()) return {};
  }
  table.Refuse(key, node, UnknownObject(node.text, objects));
  return {};
}

void RequireAim(TableReader& table, std::string_view key, const std::vector<StageObject>& objects,
                Eigen::Vector3d& point, std::optional<StageObjectName>& object) {
  constexpr char kExpected[] = "[x, y, z] in mm, or an object's name";
  const TomlNode* node = table.Require(key, kExpected);
  if (!node) return;
  if (node->kind == TomlKind::kString) {
    object = ReadObjectName(table, key, *node, objects);
  } else if (const auto xyz = table.Numbers(key, 3, kCoordinateRule, kExpected)) {
    point = {(*xyz)[0], (*xyz)[1], (*xyz)[2]};
  }
}

StageCamera ReadStageCamera(const TomlNode& node, const std::vector<StageObject>& objects,
                            Mistakes& mistakes) {
  StageCamera camera;
  camera.place = mistakes.PlaceOf(node);
  TableReader table(node, "stage.camera", mistakes);
  camera.focal_35mm = table.Number("focal_35mm", kFocalRule).value_or(camera.focal_35mm);
  ReadStand(table, camera);
  RequireAim(table, "aim", objects, camera.aim, camera.aim_object);
  const TomlNode *at = table.Find("at"), *aim = table.Find("aim");
  if (at && aim && aim->kind != TomlKind::kString && camera.at == camera.aim) {
    table.Refuse("aim", *aim, "expected another point than at");
  }
  camera.roll = table.Number("roll", kAngleRule).value_or(0);
  ReadLens(table, objects, camera.lens);
  camera.exposure = table.Number("exposure", kStopsRule).value_or(0);
  table.RefuseUnknown();
  return camera;
}

}  // namespace wheatpaste
