// answers_json.h - JSON from outside to a value, and values to what they must be; every mistake at its JSON pointer.
//
// Model   two steps. ParseOutsideJson takes white space and a byte order mark around the text, and nothing else: text that
//         is no JSON is refused at its line and column, with what mail programs do to text as a hint; keys given twice
//         and nesting deeper than kMaxJsonDepth are refused while reading. JsonChecker then looks at each value.
// Source  RFC 8259 (JSON), RFC 6901 (pointers), RFC 3629 (UTF-8).
#pragma once

#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "base/error.h"

namespace wheatpaste {

inline constexpr size_t kMaxJsonDepth = 16;

// file  for messages.
Result<nlohmann::json> ParseOutsideJson(std::string_view text, const std::string& file);

// Collects the mistakes of one file. What a function returns after a mistake is harmless and of no use.
class JsonChecker {
 public:
  explicit JsonChecker(std::string file) : file_(std::move(file)) {}

  // An object with exactly these keys; false where it is none or one is missing.
  bool Object(const nlohmann::json& json, const std::string& pointer,
              std::initializer_list<const char*> keys);
  // An array of at most `most` values.
  bool Array(const nlohmann::json& json, const std::string& pointer, size_t most);

  // `pointer` is of the object that holds `key`, here and below.
  // Characters that cannot be seen (control characters, U+0000 to 1F and 7F to 9F) are left out, of a line also white
  // space at its ends.
  std::string Line(const nlohmann::json& object, const std::string& pointer, const char* key,
                   size_t least, size_t most);
  // Lines, each ended as any system ends them; tabs become spaces.
  std::string Text(const nlohmann::json& object, const std::string& pointer, const char* key,
                   size_t most);
  // `least` to `most` of the given characters.
  std::string Word(const nlohmann::json& object, const std::string& pointer, const char* key,
                   std::string_view characters, size_t least, size_t most);
  std::string Time(const nlohmann::json& object, const std::string& pointer, const char* key);
  double Share(const nlohmann::json& object, const std::string& pointer, const char* key);
  bool Flag(const nlohmann::json& object, const std::string& pointer, const char* key);

  // Notes a mistake in the value of `key`.
  void Refuse(const nlohmann::json& object, const std::string& pointer, const char* key,
              const std::string& message);

  bool ok() const { return count_ == 0; }
  // The first of them, and how many more there are.
  Errors TakeErrors();

 private:
  void Note(const std::string& pointer, std::string subject, std::string message);
  const std::string* String(const nlohmann::json& object, const std::string& pointer,
                            const char* key, const char* expected);
  // Whether it has at most so many characters; notes it where not.
  bool Fits(const nlohmann::json& object, const std::string& pointer, const char* key,
            std::string_view text, size_t least, size_t most);

  std::string file_;
  Errors errors_;
  size_t count_ = 0;
};

// "YYYY-MM-DDTHH:MM:SSZ" of a day that there is.
bool IsTime(std::string_view text);

}  // namespace wheatpaste
