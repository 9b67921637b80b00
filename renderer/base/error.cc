#include "base/error.h"

#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>

namespace wheatpaste {

void CheckFailed(const char* file, int line, const char* claim, const std::string& details) {
  fmt::print(stderr, "{}:{}: fault of the program: {} does not hold: {}\n", file, line, claim,
             details);
  std::fflush(stderr);
  std::_Exit(3);
}

std::string FormatError(const Error& error) {
  std::string text = error.place.file;
  if (error.place.line > 0) text += fmt::format(":{}:{}", error.place.line, error.place.column);
  if (!text.empty()) text += ": ";
  text += "error: ";
  if (!error.subject.empty()) text += error.subject + ": ";
  return text + error.message;
}

std::string FormatErrors(const Errors& errors) {
  std::string text;
  for (const Error& error : errors) text += FormatError(error) + "\n";
  return text;
}

std::string PrintableText(std::string_view text, size_t max_bytes) {
  std::string printable;
  for (const char c : text.substr(0, max_bytes)) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f) {
      printable += fmt::format("\\x{:02x}", byte);
    } else {
      printable += c;
    }
  }
  if (text.size() > max_bytes) printable += "...";
  return printable;
}

}  // namespace wheatpaste
