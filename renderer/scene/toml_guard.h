// toml_guard.h - what must hold before a TOML parser may see a text that nobody has vouched for.
//
// Why     the parser limits how deep arrays and inline tables nest, but not how long a dotted key
//         is: "a.a.a. ..." becomes one table inside another, and walking them exhausts the stack.
//         Nor does it limit how many values a file holds, each of which costs some 100 bytes.
// Model   a scan that knows TOML 1.0's comments and four kinds of strings, and counts outside them.
#pragma once

#include <string>
#include <string_view>

#include "base/error.h"

namespace wheatpaste {

inline constexpr size_t kMaxTomlKeyParts = 16;
inline constexpr size_t kMaxTomlValues = 250'000;

// errors  not UTF-8, a NUL byte, a table header without name, a non-ASCII character as above, a
//         dotted key of more than kMaxTomlKeyParts parts, more than kMaxTomlValues values; each at
//         its line and column (columns count characters).
Status CheckTomlText(std::string_view text, const std::string& file);

}  // namespace wheatpaste
