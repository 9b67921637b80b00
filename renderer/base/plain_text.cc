#include "base/plain_text.h"

#include <cstdint>

namespace wheatpaste {
namespace {

constexpr char32_t kNone = 0xFFFFFFFF;

// Takes one character off the front; of broken text one byte, as kNone.
char32_t TakeCharacter(std::string_view& text) {
  const auto byte = [&](size_t i) { return static_cast<uint8_t>(text[i]); };
  const uint8_t first = byte(0);
  const size_t length = first < 0x80   ? 1
                        : first < 0xC2 ? 0
                        : first < 0xE0 ? 2
                        : first < 0xF0 ? 3
                        : first < 0xF5 ? 4
                                       : 0;
  char32_t value = kNone;
  if (length == 1) value = first;
  if (length > 1 && length <= text.size()) {
    value = first & (0x7Fu >> length);
    for (size_t i = 1; i < length; ++i) {
      if ((byte(i) & 0xC0) != 0x80) value = kNone;
      if (value != kNone) value = value << 6 | (byte(i) & 0x3Fu);
    }
    constexpr char32_t kLeast[] = {0, 0, 0x80, 0x800, 0x10000};
    if (value < kLeast[length] || value > 0x10FFFF || (value >= 0xD800 && value < 0xE000))
      value = kNone;
  }
  text.remove_prefix(value == kNone ? 1 : length);
  return value;
}

}  // namespace

std::u32string PlainCharacters(std::string_view text, size_t most) {
  std::u32string characters;
  while (!text.empty() && characters.size() < most) {
    const char32_t c = TakeCharacter(text);
    if (c == '\t' || c == '\n' || c == '\r') characters += U' ';
    const bool control = c < 0x20 || (c >= 0x7F && c < 0xA0);
    if (c != kNone && !control && (c & 0xFFFE) != 0xFFFE) characters += c;
  }
  return characters;
}

std::string XmlText(std::string_view text, size_t most) {
  std::string escaped;
  for (const char32_t c : PlainCharacters(text, most)) {
    switch (c) {
      case '&':
        escaped += "&amp;";
        break;
      case '<':
        escaped += "&lt;";
        break;
      case '>':
        escaped += "&gt;";
        break;
      default:
        AppendUtf8(escaped, c);
    }
  }
  return escaped;
}

std::string AttributeText(std::string_view text, size_t most) {
  std::string escaped;
  for (const char c : XmlText(text, most)) {
    if (c == '"') {
      escaped += "&quot;";
    } else {
      escaped += c;
    }
  }
  return escaped;
}

void AppendUtf8(std::string& text, char32_t c) {
  const auto put = [&](char32_t byte) { text += static_cast<char>(byte); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | c >> 6);
  } else if (c < 0x10000) {
    put(0xE0 | c >> 12);
    put(0x80 | (c >> 6 & 0x3F));
  } else {
    put(0xF0 | c >> 18);
    put(0x80 | (c >> 12 & 0x3F));
    put(0x80 | (c >> 6 & 0x3F));
  }
  if (c >= 0x80) put(0x80 | (c & 0x3F));
}

}  // namespace wheatpaste
