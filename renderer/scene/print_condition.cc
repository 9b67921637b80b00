#include "scene/print_condition.h"

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/preset_file.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxDataBytes = 64;
constexpr NumberRule kTotalInkRule{0, false, 400, "percent of ink above 0, at most 400"};

void ReadCondition(TableReader& table, const std::string& profiles, PrintCondition& condition) {
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
}

// The preset of that name; else what to say of it.
Result<PrintCondition> Choose(const std::vector<PrintCondition>& conditions,
                              const std::string& name, const std::vector<std::string>& also) {
  if (const PrintCondition* condition = FindByName(conditions, name)) return *condition;
  std::vector<std::string> known = NamesOf(conditions);
  known.insert(known.begin(), also.begin(), also.end());
  const std::string nearest = NearestName(name, known);
  return Error{
      {},
      "",
      fmt::format("unknown {}; {}there are {}, or {} as a file, .icc",
                  also.empty() ? "print condition" : "profile",
                  nearest.empty() ? "" : fmt::format("did you mean \"{}\"? ", nearest),
                  QuotedList(known, kMaxListed), also.empty() ? "a press's profile" : "a profile")};
}

}  // namespace

bool IsProfileFile(const std::string& name) {
  const std::string ending = EndingOf(name);
  return ending == "icc" || ending == "icm";
}

Result<std::vector<PrintCondition>> ReadPrintConditions(const std::string& data_folder) {
  const std::string profiles = JoinPath(data_folder, "assets-open/profiles");
  return ReadPresetFile<PrintCondition>(data_folder, "print-conditions.toml", "condition", "",
                                        [&](TableReader& table, PrintCondition& condition) {
                                          ReadCondition(table, profiles, condition);
                                        });
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
