// toml_document.h - a TOML text as a tree of values with their places.
//
// Rule    the only door to the TOML library: everything else in this folder sees these nodes, so
//         strict reading, messages and limits are the same for every file the program reads.
// Limits  those of toml_guard.h; arrays and inline tables nest at most kMaxTomlNesting deep.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"

namespace wheatpaste {

inline constexpr int kMaxTomlNesting = 32;

enum class TomlKind { kTable, kArray, kString, kNumber, kBool, kDate };

struct TomlEntry;

struct TomlNode {
  TomlKind kind = TomlKind::kTable;
  uint32_t line = 0;
  uint32_t column = 0;
  double number = 0;               // kNumber; whole numbers are converted
  std::string text;                // kString: its content; other single values: as TOML writes them
  std::vector<TomlNode> items;     // kArray
  std::vector<TomlEntry> entries;  // kTable, in the order of the file
};

struct TomlEntry {
  std::string key;
  uint32_t line = 0;
  uint32_t column = 0;
  TomlNode value;
};

// file     for messages only.
// returns  the root table.
// errors   the first breach of TOML 1.0 or of a limit, at its line and column.
Result<TomlNode> ParseToml(std::string_view text, const std::string& file);

// "a number", "a string", ... as messages name them.
const char* NameOf(TomlKind kind);

// The value as TOML writes it, on one line, cut to about `max_bytes`.
std::string ValueText(const TomlNode& node, size_t max_bytes = 60);

}  // namespace wheatpaste
