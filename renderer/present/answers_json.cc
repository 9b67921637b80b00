#include "present/answers_json.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "base/plain_text.h"
#include "scene/nearest_name.h"

namespace wheatpaste {
namespace {

using Json = nlohmann::json;

constexpr size_t kMostErrors = 50;
constexpr char kMark[] = "\xEF\xBB\xBF";  // byte order mark

// A key as RFC 6901 writes it, safe to print.
std::string Token(std::string_view key) {
  std::string token;
  for (const char c : PrintableText(key, 60)) {
    if (c == '~') {
      token += "~0";
    } else if (c == '/') {
      token += "~1";
    } else {
      token += c;
    }
  }
  return token;
}

// The root's pointer is empty.
Place PlaceOf(const std::string& file, const std::string& pointer) {
  return {PrintableText(file) + (pointer.empty() ? "" : ":" + pointer)};
}

// Builds the value. Stops at the first thing that is not allowed.
class Builder : public nlohmann::json_sax<Json> {
 public:
  Json root;
  std::optional<size_t> broken_at;  // byte, from 1, where the text is no JSON
  std::string refused;              // else, why what is JSON is refused,
  std::string pointer;              // and where

  bool null() override { return Put(nullptr); }
  bool boolean(bool value) override { return Put(value); }
  bool number_integer(number_integer_t value) override { return Put(value); }
  bool number_unsigned(number_unsigned_t value) override { return Put(value); }
  bool number_float(number_float_t value, const string_t&) override { return Put(value); }
  bool string(string_t& value) override { return Put(std::move(value)); }
  bool binary(binary_t&) override { return false; }
  bool start_object(size_t) override { return Open(Json::object()); }
  bool start_array(size_t) override { return Open(Json::array()); }
  bool end_object() override { return Close(); }
  bool end_array() override { return Close(); }
  bool key(string_t& name) override {
    const auto [place, is_new] = open_.back()->get_ref<Json::object_t&>().emplace(name, nullptr);
    tokens_.back() = Token(name);
    member_ = &place->second;
    if (!is_new) Refuse("is given twice");
    return is_new;
  }
  bool parse_error(size_t position, const std::string&, const Json::exception&) override {
    broken_at = position;
    return false;
  }

 private:
  Json* Add(Json&& value) {
    if (open_.empty()) return &(root = std::move(value));
    if (open_.back()->is_object()) return &(*member_ = std::move(value));
    open_.back()->push_back(std::move(value));
    return &open_.back()->back();
  }
  bool Put(Json&& value) {
    Add(std::move(value));
    return true;
  }
  bool Open(Json&& value) {
    if (open_.size() == kMaxJsonDepth) {
      Refuse(fmt::format("expected values at most {} deep in each other", kMaxJsonDepth));
      return false;
    }
    open_.push_back(Add(std::move(value)));
    tokens_.emplace_back();
    return true;
  }
  bool Close() {
    open_.pop_back();
    tokens_.pop_back();
    return true;
  }
  void Refuse(std::string why) {
    refused = std::move(why);
    for (size_t i = 0; i < open_.size(); ++i) {
      pointer += '/';
      // What is refused would be the innermost array's next; the others hold what is open already.
      const size_t next = open_[i]->size() - (i + 1 < open_.size() ? 1 : 0);
      pointer += open_[i]->is_object() ? tokens_[i] : std::to_string(next);
    }
  }

  std::vector<Json*> open_;          // from the root down; an open array grows only at its end
  std::vector<std::string> tokens_;  // the last key of each
  Json* member_ = nullptr;           // the last key's value
};

Place PlaceIn(std::string_view text, size_t byte, const std::string& file) {
  const std::string_view before = text.substr(0, std::min(byte > 0 ? byte - 1 : 0, text.size()));
  const size_t line_start = before.rfind('\n') + 1;  // npos + 1 = 0
  return {PrintableText(file),
          static_cast<uint32_t>(std::count(before.begin(), before.end(), '\n') + 1),
          static_cast<uint32_t>(before.size() - line_start + 1)};
}

// What became of the text on its way, as far as it shows.
std::string WhyBroken(std::string_view text, size_t byte) {
  const size_t start = text.find_first_not_of(" \t\r\n");
  if (start == std::string_view::npos) return "is empty; expected answers, JSON";
  if (text[start] == '>') {
    return "the lines begin with \">\", as in a quoted mail; ask for the file itself, or for the "
           "text in a new mail";
  }
  if (text[start] != '{') {
    return "expected JSON, from its first { to its last }; take away the text before and after it";
  }
  const std::string_view rest = text.substr(std::min(byte > 0 ? byte - 1 : 0, text.size()));
  if (rest.empty()) return "ends too early; expected JSON to its last }";
  for (const char* const quote : {"\xE2\x80\x9C", "\xE2\x80\x9D", "\xE2\x80\x9E", "\xC2\xAB"}) {
    // The parser stops at one of the character's bytes.
    if (text.substr(byte > 3 ? byte - 4 : 0, 7).find(quote) != std::string_view::npos) {
      return "quotes are not plain \"; a mail program or word processor changed them; ask for the "
             "file itself";
    }
  }
  if (rest[0] == '\n' || rest[0] == '\r') {
    return "a line ends within a text; a mail program broke it there; ask for the file itself";
  }
  // A byte of a character, or what stands where one's second byte should.
  if (static_cast<unsigned char>(rest[0]) >= 0x80 ||
      (byte > 1 && static_cast<unsigned char>(text[byte - 2]) >= 0xC0)) {
    return "expected JSON in UTF-8";
  }
  return "expected JSON, as the review page saved it";
}

std::string Shown(const Json& value) {
  if (value.is_object()) return "an object";
  if (value.is_array()) return "an array";
  return PrintableText(value.dump(-1, ' ', false, Json::error_handler_t::replace), 60);
}

size_t CharactersOf(std::string_view text) {  // well-formed, or the parser had refused it
  return static_cast<size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

}  // namespace

Result<Json> ParseOutsideJson(std::string_view text, const std::string& file) {
  Builder builder;
  const std::string_view whole = text;
  if (text.starts_with(kMark)) text.remove_prefix(sizeof kMark - 1);
  const size_t skipped = whole.size() - text.size();
  if (Json::sax_parse(text, &builder)) return std::move(builder.root);
  if (!builder.broken_at) {
    return Error{PlaceOf(file, builder.pointer), "", builder.refused};
  }
  return Error{PlaceIn(whole, *builder.broken_at + skipped, file), "",
               WhyBroken(text, *builder.broken_at)};
}

void JsonChecker::Note(const std::string& pointer, std::string subject, std::string message) {
  if (count_++ >= kMostErrors) return;
  errors_.push_back({PlaceOf(file_, pointer), std::move(subject), std::move(message)});
}

Errors JsonChecker::TakeErrors() {
  if (count_ > kMostErrors) {
    errors_.push_back(
        {{PrintableText(file_)}, "", fmt::format("and {} mistakes more", count_ - kMostErrors)});
  }
  return std::move(errors_);
}

void JsonChecker::Refuse(const Json& object, const std::string& pointer, const char* key,
                         const std::string& message) {
  Note(pointer + "/" + key, fmt::format("{} = {}", key, Shown(object.at(key))), message);
}

bool JsonChecker::Object(const Json& json, const std::string& pointer,
                         std::initializer_list<const char*> keys) {
  const std::vector<std::string> known(keys.begin(), keys.end());
  if (!json.is_object()) {
    Note(pointer, Shown(json), "expected an object with " + QuotedList(known));
    return false;
  }
  for (const auto& [key, value] : json.items()) {
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    const std::string nearest = NearestName(key, known);
    Note(pointer + "/" + Token(key), "",
         nearest.empty() ? "unknown key" : fmt::format("unknown key; did you mean {}?", nearest));
  }
  bool complete = true;
  for (const std::string& key : known) {
    if (json.contains(key)) continue;
    Note(pointer, "", fmt::format("{} is missing", key));
    complete = false;
  }
  return complete;
}

bool JsonChecker::Array(const Json& json, const std::string& pointer, size_t most) {
  if (json.is_array() && json.size() <= most) return true;
  Note(pointer, json.is_array() ? fmt::format("{} values", json.size()) : Shown(json),
       fmt::format("expected an array of at most {}", most));
  return false;
}

const std::string* JsonChecker::String(const Json& object, const std::string& pointer,
                                       const char* key, const char* expected) {
  const Json& value = object.at(key);
  if (value.is_string()) return &value.get_ref<const std::string&>();
  Refuse(object, pointer, key, expected);
  return nullptr;
}

bool JsonChecker::Fits(const Json& object, const std::string& pointer, const char* key,
                       std::string_view text, size_t least, size_t most) {
  const size_t length = CharactersOf(text);
  if (length >= least && length <= most) return true;
  Refuse(object, pointer, key,
         least == 0 ? fmt::format("has {} characters, expected at most {}", length, most)
                    : fmt::format("has {} characters, expected {} to {}", length, least, most));
  return false;
}

std::string JsonChecker::Line(const Json& object, const std::string& pointer, const char* key,
                              size_t least, size_t most) {
  std::string line = Text(object, pointer, key, std::string::npos);
  std::replace(line.begin(), line.end(), '\n', ' ');
  const size_t start = std::min(line.find_first_not_of(' '), line.size());
  line = line.substr(start, line.find_last_not_of(' ') + 1 - start);
  return Fits(object, pointer, key, line, least, most) ? line : std::string();
}

std::string JsonChecker::Text(const Json& object, const std::string& pointer, const char* key,
                              size_t most) {
  const std::string* const text = String(object, pointer, key, "expected a text");
  if (text == nullptr || !Fits(object, pointer, key, *text, 0, most)) return {};
  std::string lines;
  for (size_t at = 0; at < text->size();) {
    const size_t end = std::min(text->find_first_of("\n\r\v\f", at), text->size());
    for (const char32_t c :
         PlainCharacters(std::string_view(*text).substr(at, end - at), end - at)) {
      AppendUtf8(lines, c);
    }
    if (end < text->size()) lines += '\n';
    at = end + (text->compare(end, 2, "\r\n") == 0 ? 2 : 1);
  }
  return lines;
}

std::string JsonChecker::Word(const Json& object, const std::string& pointer, const char* key,
                              std::string_view characters, size_t least, size_t most) {
  const std::string expected =
      least == most
          ? fmt::format("expected {} of the characters {}", most, characters)
          : fmt::format("expected {} to {} of the characters {}", least, most, characters);
  const std::string* const word = String(object, pointer, key, expected.c_str());
  if (word == nullptr) return {};
  if (word->size() >= least && word->size() <= most &&
      word->find_first_not_of(characters) == std::string::npos) {
    return *word;
  }
  Refuse(object, pointer, key, expected);
  return {};
}

std::string JsonChecker::Time(const Json& object, const std::string& pointer, const char* key) {
  constexpr char kExpected[] = "expected a time in UTC, such as 2026-03-01T09:30:00Z";
  const std::string* const time = String(object, pointer, key, kExpected);
  if (time == nullptr) return {};
  if (IsTime(*time)) return *time;
  Refuse(object, pointer, key, kExpected);
  return {};
}

double JsonChecker::Share(const Json& object, const std::string& pointer, const char* key) {
  const Json& value = object.at(key);
  if (value.is_number()) {
    const double share = value.get<double>();
    if (share >= 0 && share <= 1) return share;
  }
  Refuse(object, pointer, key, "expected a number from 0 to 1");
  return 0;
}

bool JsonChecker::Flag(const Json& object, const std::string& pointer, const char* key) {
  const Json& value = object.at(key);
  if (value.is_boolean()) return value.get<bool>();
  Refuse(object, pointer, key, "expected true or false");
  return false;
}

bool IsTime(std::string_view text) {
  constexpr std::string_view kForm = "0000-00-00T00:00:00Z";
  if (text.size() != kForm.size()) return false;
  for (size_t i = 0; i < kForm.size(); ++i) {
    const bool digit = text[i] >= '0' && text[i] <= '9';
    if (kForm[i] == '0' ? !digit : text[i] != kForm[i]) return false;
  }
  const auto number = [&text](size_t at, size_t size) {
    int value = 0;
    std::from_chars(text.data() + at, text.data() + at + size, value);
    return value;
  };
  const int year = number(0, 4), month = number(5, 2), day = number(8, 2);
  if (month < 1 || month > 12) return false;
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  constexpr int kDays[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const int days = kDays[month - 1] + (month == 2 && leap ? 1 : 0);
  // 60: a leap second.
  return day >= 1 && day <= days && number(11, 2) < 24 && number(14, 2) < 60 && number(17, 2) <= 60;
}

}  // namespace wheatpaste
