// place_error.h - an error at the key that named the artwork.
#pragma once

#include <string>

#include <fmt/format.h>

#include "base/error.h"

namespace wheatpaste {

// `key = "value"` at its place; where no key asked for the file, the file's own name is the place.
inline Error ArtworkError(const Placed<std::string>& path, const std::string& message) {
  if (path.key.empty()) return {{PrintableText(path.value)}, "", message};
  return {path.place, fmt::format("{} = \"{}\"", path.key, PrintableText(path.value)), message};
}

}  // namespace wheatpaste
