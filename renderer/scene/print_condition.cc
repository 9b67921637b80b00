#include "scene/print_condition.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/presets.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxSourceBytes = 400;
constexpr size_t kMaxDataBytes = 64;
constexpr NumberRule kTotalInkRule{0, false, 400, "percent of ink above 0, at most 400"};

std::vector<std::string> NamesOf(const std::vector<PrintCondition>& conditions) {
  std::vector<std::string> names;
  for (const PrintCondition& condition : conditions) names.push_back(condition.name);
  return names;
}

PrintCondition ReadCondition(TableReader& table, const std::string& profiles) {
  PrintCondition condition;
  table.Require("name", "the condition's name");
  if (const TomlNode* name = table.Line("name", kMaxSceneNameBytes)) condition.name = name->text;
  table.Require("profile", "a file of assets-open/profiles");
  if (const TomlNode* file = table.Line("profile", kMaxPathBytes)) {
    if (!IsProfileFile(file->text) || file->text.find('/') != std::string::npos) {
      table.Refuse("profile", *file, "expected a file of assets-open/profiles, ending in .icc");
    }
    condition.profile.value = JoinPath(profiles, file->text);
  }
  table.Require("data", "the short name of its measurements");
  if (const TomlNode* data = table.Line("data", kMaxDataBytes)) condition.data = data->text;
  table.Require("total_ink", kTotalInkRule.expected);
  condition.total_ink_percent = table.Number("total_ink", kTotalInkRule);
  table.Require("source", "where the numbers come from");
  table.Line("source", kMaxSourceBytes);
  table.RefuseUnknown();
  return condition;
}

// The preset of that name; else what to say of it.
Result<PrintCondition> Choose(const std::vector<PrintCondition>& conditions,
                              const std::string& name, const std::vector<std::string>& also) {
  for (const PrintCondition& condition : conditions) {
    if (condition.name == name) return condition;
  }
  std::vector<std::string> known = NamesOf(conditions);
  known.insert(known.begin(), also.begin(), also.end());
  const std::string nearest = NearestName(name, known);
  return Error{{},
               "",
               fmt::format("unknown {}; {}there are {}, or a press's profile as a file, .icc",
                           also.empty() ? "print condition" : "profile",
                           nearest.empty() ? "" : fmt::format("did you mean \"{}\"? ", nearest),
                           QuotedList(known, kMaxListed))};
}

}  // namespace

bool IsProfileFile(const std::string& name) {
  const std::string ending = EndingOf(name);
  return ending == "icc" || ending == "icm";
}

Result<std::vector<PrintCondition>> ReadPrintConditions(const std::string& data_folder) {
  std::string path;
  const Result<TomlNode> root = ReadSharedFile(data_folder, "print-conditions.toml", path);
  if (!root.ok()) return root.errors();
  Mistakes mistakes(path);
  TableReader file(*root, "", mistakes);
  std::vector<PrintCondition> conditions;
  const std::string profiles = JoinPath(data_folder, "assets-open/profiles");
  for (const TomlNode* node : ReadTables(file, "condition")) {
    TableReader table(*node, "condition", mistakes);
    PrintCondition condition = ReadCondition(table, profiles);
    const auto same = [&](const PrintCondition& earlier) { return earlier.name == condition.name; };
    if (std::any_of(conditions.begin(), conditions.end(), same)) {
      mistakes.Add(*node, table.KeyOf("name"), "expected a name of its own; an earlier one has it");
    }
    conditions.push_back(std::move(condition));
  }
  file.RefuseUnknown();
  if (!mistakes.none()) return std::move(mistakes).Sorted();
  return conditions;
}

Result<PrintCondition> FindPrintCondition(const Placed<std::string>& name,
                                          const std::string& data_folder,
                                          const std::vector<std::string>& also) {
  if (IsProfileFile(name.value)) return PrintCondition{name.value, "", name, std::nullopt};
  const auto conditions = ReadPrintConditions(data_folder);
  if (!conditions) return conditions.errors();
  auto chosen = Choose(*conditions, name.value, also);
  if (!chosen) return Error{name.place, "", chosen.errors().front().message};
  chosen->profile.place = name.place;
  return chosen;
}

std::optional<PrintCondition> ReadPrintCondition(TableReader& root, const ScenePaths& paths,
                                                 const std::string& data_folder) {
  const TomlNode* node = root.Line("print_condition", kMaxPathBytes);
  if (!node) return {};
  if (IsProfileFile(node->text)) {
    const auto file = ReadFileName(root, "print_condition", paths);
    if (!file) return {};
    return PrintCondition{node->text, "", *file, std::nullopt};
  }
  const auto conditions = ReadPrintConditions(data_folder);
  if (!conditions) {
    for (const Error& error : conditions.errors()) {
      root.mistakes().Add(error.place, error.subject, error.message);
    }
    return {};
  }
  auto chosen = Choose(*conditions, node->text, {});
  if (!chosen) {
    root.Refuse("print_condition", *node, chosen.errors().front().message);
    return {};
  }
  chosen->profile.place = root.mistakes().PlaceOf(*node);
  chosen->profile.key = "print_condition";
  return std::move(*chosen);
}

}  // namespace wheatpaste
