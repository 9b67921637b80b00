#include "scene/toml_guard.h"

#include <algorithm>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

// Length of the UTF-8 sequence at the start of `text`, 0 where it is none (RFC 3629, section 4).
size_t Utf8Length(std::string_view text) {
  const auto byte = [&](size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const unsigned lead = byte(0);
  if (lead < 0x80) return 1;
  const size_t length = lead >= 0xc2 && lead <= 0xdf   ? 2
                        : lead >= 0xe0 && lead <= 0xef ? 3
                        : lead >= 0xf0 && lead <= 0xf4 ? 4
                                                       : 0;
  for (size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xc0u) != 0x80u) return 0;
  }
  const unsigned second = byte(1);
  if ((lead == 0xe0 && second < 0xa0) || (lead == 0xed && second > 0x9f) ||
      (lead == 0xf0 && second < 0x90) || (lead == 0xf4 && second > 0x8f)) {
    return 0;
  }
  return length;
}

bool IsAscii(char c) { return static_cast<unsigned char>(c) < 0x80; }

class Scan {
 public:
  Scan(std::string_view text, const std::string& file) : text_(text), file_(file) {}

  Status Run() {
    size_t dots = 0;            // since the last thing that ends a key
    size_t values = 0;          // arrays, tables, entries, and the inner tables of long keys
    int depth = 0;              // of brackets and braces that are open
    bool line_is_blank = true;  // from its start to here
    if (text_.starts_with("\xef\xbb\xbf")) at_ = 3;  // a byte order mark
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (!StepsOver()) return bad_;
      if (!IsAscii(c)) return Behind("expected plain ASCII outside quotes and comments");
      if (c == '[' && depth == 0 && line_is_blank && !CheckHeader()) return bad_;
      line_is_blank = c == '\n' || (line_is_blank && (c == ' ' || c == '\t' || c == '\r'));
      depth += c == '[' || c == '{' ? 1 : c == ']' || c == '}' ? -1 : 0;
      if (c == '#') {
        while (at_ < text_.size() && text_[at_] != '\n') {
          if (!StepsOver()) return bad_;
        }
      } else if (c == '"' || c == '\'') {
        if (!SkipString(c)) return bad_;
      } else if (c == '.') {
        if (++dots >= kMaxTomlKeyParts) {
          return Behind(fmt::format("expected a key of at most {} parts", kMaxTomlKeyParts));
        }
        if (dots > 1) ++values;
      } else if (c == '\n' || c == '=' || c == ',' || c == '[' || c == ']' || c == '{' ||
                 c == '}') {
        dots = 0;
        if (c == '=' || c == ',' || c == '[') ++values;
      }
      if (values > kMaxTomlValues) {
        return Behind(fmt::format("expected at most {} values in a file", kMaxTomlValues));
      }
    }
    return Done{};
  }

 private:
  // Past one character; false (and `bad_` set) where it is none.
  bool StepsOver() {
    const size_t length = Utf8Length(text_.substr(at_));
    if (length == 0 || text_[at_] == '\0') {
      const auto byte = static_cast<unsigned char>(text_[at_]);
      bad_ = {{file_, line_, column_},
              "",
              byte == 0 ? "expected text; a zero byte is not"
                        : fmt::format("expected UTF-8 text; byte 0x{:02x} is not", byte)};
      return false;
    }
    last_line_ = line_;
    last_column_ = column_;
    if (text_[at_] == '\n') {
      ++line_;
      column_ = 1;
    } else {
      ++column_;
    }
    at_ += length;
    return true;
  }

  // Behind the first bracket of a [table] or [[table]] header: a key must begin. The parser takes
  // that for granted and is undefined otherwise (as of its version 3.3.0).
  bool CheckHeader() {
    size_t ahead = at_;
    if (ahead < text_.size() && text_[ahead] == '[') ++ahead;
    while (ahead < text_.size() && (text_[ahead] == ' ' || text_[ahead] == '\t')) ++ahead;
    if (ahead >= text_.size()) return true;  // the parser refuses that
    const char c = text_[ahead];
    const bool key = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                     c == '-' || c == '_' || c == '"' || c == '\'' || c == ']';
    if (key) return true;
    const auto column = static_cast<uint32_t>(column_ + (ahead - at_));
    bad_ = {{file_, line_, column}, "", "expected the name of a table behind the bracket"};
    return false;
  }

  // Behind the end of a string whose first quote was stepped over. A string of one line that is not
  // closed ends with its line; the parser refuses it there.
  bool SkipString(char quote) {
    const size_t more = QuoteRun(quote);
    if (more == 1) return StepsOver();  // an empty string
    const bool long_form = more >= 2;
    for (int i = 0; long_form && i < 2; ++i) {
      if (!StepsOver()) return false;
    }
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\n' && !long_form) return true;
      if (c == quote) {
        const size_t run = QuoteRun(quote);
        const bool ends = !long_form || run >= 3;
        // A long string may end in up to two quotes of its own.
        const size_t taken = !long_form ? 1 : std::min<size_t>(run, 5);
        for (size_t i = 0; i < taken; ++i) {
          if (!StepsOver()) return false;
        }
        if (ends) return true;
        continue;
      }
      if (!StepsOver()) return false;
      if (c == '\\' && quote == '"' && !SkipEscape(long_form)) return false;
    }
    return true;
  }

  // Behind what a backslash escapes: one character, or the line breaks and blanks that it hides.
  bool SkipEscape(bool long_form) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
    if (at_ >= text_.size() || (!long_form && text_[at_] == '\n')) return true;
    if (!long_form || (IsAscii(text_[at_]) && !blank(text_[at_]))) return StepsOver();
    while (at_ < text_.size() && blank(text_[at_])) {
      if (!StepsOver()) return false;
    }
    if (at_ >= text_.size() || IsAscii(text_[at_])) return true;
    bad_ = {{file_, line_, column_}, "", "expected plain ASCII first behind a line's end in \\"};
    return false;
  }

  size_t QuoteRun(char quote) const {
    size_t run = 0;
    while (at_ + run < text_.size() && text_[at_ + run] == quote && run < 6) ++run;
    return run;
  }

  // At the character that was stepped over last.
  Error Behind(const std::string& message) const {
    return {{file_, last_line_, last_column_}, "", message};
  }

  std::string_view text_;
  const std::string& file_;
  size_t at_ = 0;
  uint32_t line_ = 1, column_ = 1, last_line_ = 1, last_column_ = 1;
  Error bad_;
};

}  // namespace

Status CheckTomlText(std::string_view text, const std::string& file) {
  return Scan(text, file).Run();
}

}  // namespace wheatpaste
