// json_values.h - values as JSON has them where they may be missing: null.
#pragma once

#include <optional>
#include <string>

#include <nlohmann/json.hpp>

namespace wheatpaste {

template <typename T>
nlohmann::ordered_json ValueOrNull(const std::optional<T>& value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json();
}

// Of an empty text: null.
inline nlohmann::ordered_json TextOrNull(const std::string& text) {
  return text.empty() ? nlohmann::ordered_json() : nlohmann::ordered_json(text);
}

}  // namespace wheatpaste
