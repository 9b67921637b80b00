#include "scene/nearest_name.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/error.h"

namespace wheatpaste {
namespace {

constexpr size_t kMaxNameBytes = 64;

char Lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

size_t EditDistance(std::string_view first, std::string_view second) {
  const size_t width = second.size() + 1;
  std::vector<size_t> before_last(width), last(width), current(width);
  for (size_t j = 0; j < width; ++j) last[j] = j;
  for (size_t i = 1; i <= first.size(); ++i) {
    current[0] = i;
    for (size_t j = 1; j < width; ++j) {
      const bool same = Lower(first[i - 1]) == Lower(second[j - 1]);
      current[j] = std::min({last[j] + 1, current[j - 1] + 1, last[j - 1] + (same ? 0 : 1)});
      if (i > 1 && j > 1 && Lower(first[i - 1]) == Lower(second[j - 2]) &&
          Lower(first[i - 2]) == Lower(second[j - 1])) {
        current[j] = std::min(current[j], before_last[j - 2] + 1);
      }
    }
    std::swap(before_last, last);
    std::swap(last, current);
  }
  return last[second.size()];
}

std::string NearestName(std::string_view name, const std::vector<std::string>& known) {
  std::string nearest;
  size_t nearest_distance = kMaxNameBytes;
  if (name.empty() || name.size() > kMaxNameBytes) return nearest;
  for (const std::string& candidate : known) {
    if (candidate.size() > kMaxNameBytes) continue;
    const size_t distance = EditDistance(name, candidate);
    const size_t allowed = std::max<size_t>(1, std::max(name.size(), candidate.size()) / 3);
    // A single letter replaced by another single letter resembles nothing.
    if (distance > allowed || distance >= std::max(name.size(), candidate.size())) continue;
    if (distance < nearest_distance) {
      nearest = candidate;
      nearest_distance = distance;
    }
  }
  return nearest;
}

std::string QuotedList(const std::vector<std::string>& names, size_t most) {
  std::string list;
  const size_t shown = std::min(names.size(), most);
  for (size_t i = 0; i < shown; ++i) {
    if (i > 0) list += i + 1 == names.size() ? " and " : ", ";
    list += fmt::format("\"{}\"", PrintableText(names[i], kMaxNameBytes));
  }
  if (shown < names.size()) list += fmt::format(" and {} more", names.size() - shown);
  return list;
}

}  // namespace wheatpaste
