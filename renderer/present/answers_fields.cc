#include "present/answers_fields.h"

#include "present/read_answers.h"

namespace wheatpaste {
namespace {

using Json = nlohmann::json;

}  // namespace

void ReadHead(const Json& object, const std::string& pointer, JsonChecker& checker,
              Answers& answers) {
  answers.review = ReadDigest(object, pointer, "review", checker);
  answers.title = checker.Line(object, pointer, "title", 0, kMaxTitleCharacters);
  answers.name = checker.Line(object, pointer, "name", 0, kMaxNameCharacters);
  answers.saved = checker.Time(object, pointer, "saved");
  answers.comment = checker.Text(object, pointer, "comment", kMaxTextCharacters);
}

std::string ReadDigest(const Json& object, const std::string& pointer, const char* key,
                       JsonChecker& checker) {
  constexpr size_t kDigits = 64;
  return checker.Word(object, pointer, key, "0123456789abcdef", kDigits, kDigits);
}

std::string ReadPictureName(const Json& object, const std::string& pointer, JsonChecker& checker) {
  return checker.Line(object, pointer, "file", 1, kMaxFileCharacters);
}

ItemAnswer ReadItem(const Json& object, const std::string& pointer, JsonChecker& checker) {
  ItemAnswer item;
  item.file = ReadPictureName(object, pointer, checker);
  item.sha256 = ReadDigest(object, pointer, "sha256", checker);
  const Json& verdict = object.at("verdict");
  if (verdict == "approved") {
    item.verdict = Verdict::kApproved;
  } else if (verdict == "change") {
    item.verdict = Verdict::kChange;
  } else if (!verdict.is_null()) {
    checker.Refuse(object, pointer, "verdict", "expected \"approved\", \"change\" or null");
  }
  item.favourite = checker.Flag(object, pointer, "favourite");
  return item;
}

Pin ReadPin(const Json& object, const std::string& pointer, JsonChecker& checker) {
  Pin pin;
  pin.id = checker.Word(object, pointer, "id", "0123456789abcdefghijklmnopqrstuvwxyz-", 8, 64);
  pin.x = checker.Share(object, pointer, "x");
  pin.y = checker.Share(object, pointer, "y");
  pin.text = checker.Text(object, pointer, "text", kMaxTextCharacters);
  pin.made = checker.Time(object, pointer, "made");
  return pin;
}

nlohmann::ordered_json VerdictJson(Verdict verdict) {
  if (verdict == Verdict::kNone) return nullptr;
  return verdict == Verdict::kApproved ? "approved" : "change";
}

}  // namespace wheatpaste
