#include "present/read_answers.h"

#include <set>

#include <fmt/format.h>

#include "base/files.h"
#include "present/answers_fields.h"

namespace wheatpaste {
namespace {

using Json = nlohmann::json;

void ReadPins(const Json& pins, const std::string& pointer, JsonChecker& checker,
              ItemAnswer& item) {
  if (!checker.Array(pins, pointer, kMaxPinsAnItem)) return;
  std::set<std::string> ids;
  for (size_t i = 0; i < pins.size(); ++i) {
    const std::string here = fmt::format("{}/{}", pointer, i);
    if (!checker.Object(pins[i], here, {"id", "x", "y", "text", "made"})) continue;
    item.pins.push_back(ReadPin(pins[i], here, checker));
    const std::string& id = item.pins.back().id;
    if (!id.empty() && !ids.insert(id).second) {
      checker.Refuse(pins[i], here, "id", "another pin of this picture has it already");
    }
  }
}

void ReadItems(const Json& items, JsonChecker& checker, Answers& answers) {
  if (!checker.Array(items, "/items", kMaxAnswerItems)) return;
  std::set<std::string> files;
  for (size_t i = 0; i < items.size(); ++i) {
    const std::string here = fmt::format("/items/{}", i);
    if (!checker.Object(items[i], here, {"file", "sha256", "verdict", "favourite", "pins"})) {
      continue;
    }
    answers.items.push_back(ReadItem(items[i], here, checker));
    ItemAnswer& item = answers.items.back();
    if (!item.file.empty() && !files.insert(item.file).second) {
      checker.Refuse(items[i], here, "file", "another item is of this picture already");
    }
    ReadPins(items[i].at("pins"), here + "/pins", checker, item);
  }
}

}  // namespace

Result<Answers> ParseAnswers(std::string_view text, const std::string& file) {
  const auto json = ParseOutsideJson(text, file);
  if (!json) return json.errors();
  JsonChecker checker(file);
  // Another format would fail at every key: said once.
  if (json->is_object() && json->contains("format") && json->at("format") != kAnswersFormat) {
    checker.Refuse(*json, "", "format", fmt::format("expected \"{}\"", kAnswersFormat));
    return checker.TakeErrors();
  }
  Answers answers;
  if (checker.Object(*json, "",
                     {"format", "review", "title", "name", "saved", "comment", "items"})) {
    ReadHead(*json, "", checker, answers);
    ReadItems(json->at("items"), checker, answers);
  }
  if (!checker.ok()) return checker.TakeErrors();
  return answers;
}

Result<Answers> ReadAnswers(const std::string& path) {
  const auto bytes = ReadWholeFile({path, {path}, ""}, kMaxAnswersBytes);
  if (!bytes) return bytes.errors();
  return ParseAnswers({reinterpret_cast<const char*>(bytes->data()), bytes->size()}, path);
}

}  // namespace wheatpaste
