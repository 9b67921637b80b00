// print_condition.h - presses by plain names: shared/print-conditions.toml; or a press's ICC profile as a file.
//
// Rule    a name that ends in .icc or .icm is a file. The profile itself is read later (composite/proof_artwork.h).
// Errors  an unknown name (the nearest named); a broken preset file is reported like a scene: every mistake, at its line.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "scene/scene.h"
#include "scene/scene_paths.h"
#include "scene/table_reader.h"

namespace wheatpaste {

// data_folder  holds shared/ and assets-open/profiles/.
Result<std::vector<PrintCondition>> ReadPrintConditions(const std::string& data_folder);

bool IsProfileFile(const std::string& name);

// As named on the command line, where a file may lie anywhere. The profile's place and key are those of `name`.
// also     further names that the option takes, for the message.
Result<PrintCondition> FindPrintCondition(const Placed<std::string>& name,
                                          const std::string& data_folder,
                                          const std::vector<std::string>& also = {});

// The scene's `print_condition`; nothing where it is left out, or refused and noted.
std::optional<PrintCondition> ReadPrintCondition(TableReader& root, const ScenePaths& paths,
                                                 const std::string& data_folder);

}  // namespace wheatpaste
