// error.h - a user's mistakes as values: where, which key, which value, what was expected.
//
// Form    file:line:column: error: key = value: expected what; hint
//         A place without line (a whole file, a command-line option) prints its name only.
// Rule    mistakes of the user travel as Result<T>; mistakes of the program fail a CHECK (check.h).
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "base/check.h"

namespace wheatpaste {

// Where a value was written. `line` and `column` count from 1; 0 means none.
struct Place {
  std::string file;
  uint32_t line = 0;
  uint32_t column = 0;
};

// One mistake. `subject` is "key = value" or "key" or empty; `message` says what was expected.
struct Error {
  Place place;
  std::string subject;
  std::string message;
};
using Errors = std::vector<Error>;

// A value together with where the user wrote it, and under which key ("surface.size").
template <typename T>
struct Placed {
  T value{};
  Place place;
  std::string key;
};

// The one line that is printed for `error`, without a newline.
std::string FormatError(const Error& error);

// All of them, a line each, every line ended by a newline.
std::string FormatErrors(const Errors& errors);

// Control characters as \xNN, and at most `max_bytes` bytes: text from a hostile file, safe to print.
std::string PrintableText(std::string_view text, size_t max_bytes = 200);

// The value, or every mistake that kept it from being made (never an empty list).
template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : content_(std::move(value)) {}              // NOLINT: implicit on purpose
  Result(Error error) : content_(Errors{std::move(error)}) {}  // NOLINT
  Result(Errors errors) : content_(std::move(errors)) {        // NOLINT
    WHEATPASTE_CHECK(!std::get<Errors>(content_).empty());
  }

  bool ok() const { return std::holds_alternative<T>(content_); }
  explicit operator bool() const { return ok(); }
  const T& value() const& { return Get(*this); }
  T& value() & { return Get(*this); }
  T&& value() && { return std::move(Get(*this)); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  const Errors& errors() const& {
    WHEATPASTE_CHECK(!ok());
    return std::get<Errors>(content_);
  }
  Errors&& errors() && {
    WHEATPASTE_CHECK(!ok());
    return std::move(std::get<Errors>(content_));
  }

 private:
  template <typename Self>
  static auto& Get(Self& self) {
    if (!self.ok()) CheckFailed(__FILE__, __LINE__, "Result holds a value", FormatFirst(self));
    return std::get<T>(self.content_);
  }
  template <typename Self>
  static std::string FormatFirst(Self& self) {
    return FormatError(std::get<Errors>(self.content_).front());
  }
  std::variant<T, Errors> content_;
};

struct Done {};
using Status = Result<Done>;

}  // namespace wheatpaste
