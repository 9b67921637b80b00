// read_rows.h - rows of numbers in a scene file, such as points [x, y]; used by the readers of this folder.
#pragma once

#include <array>
#include <string>

#include <fmt/format.h>

#include "scene/scene_parts.h"

namespace wheatpaste {

// Finite numbers of one row, such as [x, y]; notes what is wrong at the row or the number.
// `label` names the row: "point 3".
template <size_t kCount>
bool ReadRow(const TomlNode& row, const std::string& label, const std::string& expected,
             const std::string& subject, Mistakes& mistakes, std::array<double, kCount>& numbers) {
  if (row.kind != TomlKind::kArray || row.items.size() != kCount) {
    mistakes.Add(row, subject, fmt::format("{}: expected {}", label, expected));
    return false;
  }
  bool good = true;
  for (size_t i = 0; i < kCount; ++i) {
    const std::string complaint = NumberComplaint(row.items[i], kCoordinateRule);
    if (!complaint.empty()) {
      mistakes.Add(row.items[i], subject, fmt::format("{}: {}", label, complaint));
      good = false;
    }
    numbers[i] = row.items[i].number;
  }
  return good;
}

// Points [x, y] of `node`, an array; those that are no point are noted and left out.
// label  what one of them is called: "point" gives "point 3".
std::vector<PhotoPx> ReadPoints(const TomlNode& node, const std::string& label,
                                const std::string& subject, Mistakes& mistakes);

// Outlines or lines under `key`: arrays of `fewest` to `most` points each, at most `most_lines` of them.
// line  what one is called: "outline". example  as the message shows it.
struct LinesRule {
  const char* line;
  const char* example;
  size_t fewest, most, most_lines;
};
std::vector<std::vector<PhotoPx>> ReadLines(TableReader& table, std::string_view key,
                                            const LinesRule& rule);

}  // namespace wheatpaste
