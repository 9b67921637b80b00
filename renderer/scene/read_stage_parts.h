// read_stage_parts.h - the parts of [stage], each read by one function; used by read_stage*.cc only.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scene/scene_parts.h"
#include "scene/stage.h"

namespace wheatpaste {

inline constexpr NumberRule kAngleRule{-36000, true, 36000,
                                       "an angle in degrees, from -36000 to 36000"};

StageObject ReadStageObject(const TomlNode& node, const SceneContext& context,
                            const std::vector<StageObject>& earlier, Mistakes& mistakes);

// The solid under `solid` with its keys; none where it is missing or not known: what the other keys mean is not
// known then.
std::optional<StageSolid> ReadStageSolid(TableReader& table, const ScenePaths& paths);

// The object's own material, then those of its parts.
std::vector<StageMaterial> ReadStageMaterials(TableReader& object, const SceneContext& context);

StageCamera ReadStageCamera(const TomlNode& node, const std::vector<StageObject>& objects,
                            Mistakes& mistakes);

StageLightMap ReadStageLightMap(const TomlNode& node, const SceneContext& context,
                                Mistakes& mistakes);
StageSoftLight ReadStageSoftLight(const TomlNode& node, const SceneContext& context,
                                  const std::vector<StageObject>& objects, Mistakes& mistakes);
StageSun ReadStageSun(const TomlNode& node, const SceneContext& context, Mistakes& mistakes);

// Light or colour under `key`: [r, g, b], linear, each from 0; a swatch's name; #rrggbb.
std::optional<Reflectance> ReadLinear(TableReader& table, std::string_view key,
                                      const SceneContext& context);

// A point of the world under `key`.
std::optional<Eigen::Vector3d> ReadPoint(TableReader& table, std::string_view key);

// The object that `node`, a string, names; notes a name that none has.
std::optional<StageObjectName> ReadObjectName(TableReader& table, std::string_view key,
                                              const TomlNode& node,
                                              const std::vector<StageObject>& objects);

// A point, or an object's name; `key` has to be there.
void RequireAim(TableReader& table, std::string_view key, const std::vector<StageObject>& objects,
                Eigen::Vector3d& point, std::optional<StageObjectName>& object);

// "no object has this name; did you mean ...", or which there are.
std::string UnknownObject(const std::string& name, const std::vector<StageObject>& objects);

// The table under `key`, or null; notes what is none.
const TomlNode* FindTable(TableReader& table, std::string_view key);

}  // namespace wheatpaste
