#include "scene/toml_document.h"

#include <algorithm>
#include <cmath>
#include <sstream>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

// The parser found itself where it believed it could not be.
struct ParserLost {};

[[noreturn]] void LoseParser() { throw ParserLost(); }

}  // namespace
}  // namespace wheatpaste

// Header-only, here and nowhere else: the compile cost is paid once, and sanitizers and fuzzers see
// into the parser. Its assertions hold on text from strangers only as far as its authors foresaw;
// built as usual they would be promises to the optimiser, so here they are checked in every build.
#undef NDEBUG
#define TOML_ASSERT(claim) ((claim) ? static_cast<void>(0) : ::wheatpaste::LoseParser())
#define TOML_MAX_NESTED_VALUES 32
#include <toml++/toml.h>

#include "scene/toml_guard.h"

namespace wheatpaste {
namespace {

static_assert(TOML_MAX_NESTED_VALUES == kMaxTomlNesting);

std::string NumberText(double number) {
  std::string text = fmt::format("{}", number);
  if (std::isfinite(number) && text.find_first_of(".e") == std::string::npos) text += ".0";
  return text;
}

template <typename T>
std::string StreamText(const T& value) {
  std::ostringstream stream;
  stream << value;
  return stream.str();
}

void Place(TomlNode& to, const toml::source_region& region) {
  to.line = region.begin.line;
  to.column = region.begin.column;
}

// Recursion is as deep as values nest, which the guard and the parser limit.
TomlNode Convert(const toml::node& from) {
  TomlNode to;
  Place(to, from.source());
  if (const toml::table* table = from.as_table()) {
    to.kind = TomlKind::kTable;
    to.entries.reserve(table->size());
    for (const auto& [key, value] : *table) {
      const toml::source_position& begin = key.source().begin;
      to.entries.push_back({std::string(key.str()), begin.line, begin.column, Convert(value)});
    }
    std::sort(to.entries.begin(), to.entries.end(), [](const TomlEntry& a, const TomlEntry& b) {
      return std::tie(a.line, a.column) < std::tie(b.line, b.column);
    });
  } else if (const toml::array* array = from.as_array()) {
    to.kind = TomlKind::kArray;
    to.items.reserve(array->size());
    for (const toml::node& item : *array) to.items.push_back(Convert(item));
  } else if (const auto* text = from.as_string()) {
    to.kind = TomlKind::kString;
    to.text = text->get();
  } else if (const auto* whole = from.as_integer()) {
    to.kind = TomlKind::kNumber;
    to.number = static_cast<double>(whole->get());
    to.text = fmt::format("{}", whole->get());
  } else if (const auto* number = from.as_floating_point()) {
    to.kind = TomlKind::kNumber;
    to.number = number->get();
    to.text = NumberText(to.number);
  } else if (const auto* truth = from.as_boolean()) {
    to.kind = TomlKind::kBool;
    to.text = truth->get() ? "true" : "false";
  } else {
    to.kind = TomlKind::kDate;
    if (const auto* date = from.as_date()) to.text = StreamText(date->get());
    if (const auto* time = from.as_time()) to.text = StreamText(time->get());
    if (const auto* both = from.as_date_time()) to.text = StreamText(both->get());
  }
  return to;
}

// The library's sentence in ours: "Error while parsing X: expected Y" becomes "in X: expected Y".
std::string Sentence(std::string_view description) {
  std::string text(description);
  constexpr std::string_view kOpening = "Error while parsing ";
  if (text.starts_with(kOpening)) text = "in " + text.substr(kOpening.size());
  const size_t macro = text.find(" (TOML_MAX_NESTED_VALUES)");
  if (macro != std::string::npos) text.resize(macro);
  return "expected TOML; " + PrintableText(text);
}

void Append(std::string& text, const TomlNode& node, size_t max_bytes) {
  if (text.size() > max_bytes) return;
  switch (node.kind) {
    case TomlKind::kString:
      text += '"' + PrintableText(node.text, max_bytes) + '"';
      return;
    case TomlKind::kArray:
      text += '[';
      for (size_t i = 0; i < node.items.size() && text.size() <= max_bytes; ++i) {
        if (i > 0) text += ", ";
        Append(text, node.items[i], max_bytes);
      }
      text += ']';
      return;
    case TomlKind::kTable:
      text += '{';
      for (size_t i = 0; i < node.entries.size() && text.size() <= max_bytes; ++i) {
        text += (i > 0 ? ", " : " ") + PrintableText(node.entries[i].key, max_bytes) + " = ";
        Append(text, node.entries[i].value, max_bytes);
      }
      text += node.entries.empty() ? "}" : " }";
      return;
    default:
      text += node.text;
  }
}

}  // namespace

Result<TomlNode> ParseToml(std::string_view text, const std::string& file) {
  const Status sound = CheckTomlText(text, file);
  if (!sound.ok()) return sound.errors();
  try {
    return Convert(toml::parse(text, std::string_view{}));
  } catch (const toml::parse_error& error) {
    const toml::source_position& at = error.source().begin;
    return Error{
        {file, std::max(at.line, 1u), std::max(at.column, 1u)}, "", Sentence(error.description())};
  } catch (const ParserLost&) {
    return Error{{file}, "", "expected TOML; the text is damaged in a way that has no place"};
  }
}

const char* NameOf(TomlKind kind) {
  switch (kind) {
    case TomlKind::kTable:
      return "a table";
    case TomlKind::kArray:
      return "an array";
    case TomlKind::kString:
      return "a string";
    case TomlKind::kNumber:
      return "a number";
    case TomlKind::kBool:
      return "true or false";
    case TomlKind::kDate:
      return "a date or time";
  }
  return "";
}

std::string ValueText(const TomlNode& node, size_t max_bytes) {
  std::string text;
  Append(text, node, max_bytes);
  if (text.size() <= max_bytes) return text;
  // Cut between characters, not inside one.
  size_t end = max_bytes;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xc0u) == 0x80u) --end;
  return text.substr(0, end) + "...";
}

}  // namespace wheatpaste
