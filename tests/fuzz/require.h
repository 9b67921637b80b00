// require.h - what fuzz targets of drawings ask of every answer.
#pragma once

#include <cstdio>
#include <string>

#include "base/error.h"

namespace wheatpaste {

// Traps, so that the fuzzer keeps the input; a failed CHECK would end the process before that.
inline void Require(bool holds, const std::string& what) {
  if (holds) return;
  std::fprintf(stderr, "does not hold: %s\n", what.c_str());
  __builtin_trap();
}

// The line that is printed for it.
inline std::string RequireOneLine(const Error& error) {
  std::string line = FormatError(error);
  Require(line.find('\n') == std::string::npos, "one line: " + line);
  return line;
}

}  // namespace wheatpaste
