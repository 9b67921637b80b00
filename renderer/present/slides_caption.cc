#include "present/slides_caption.h"

#include <algorithm>

#include <fmt/format.h>

#include "present/caption.h"

namespace wheatpaste {
namespace {

constexpr size_t kMostPlacements = 5;

// "cannot read /a/b/mark.svg here" to "cannot read mark.svg here".
std::string WithoutFolders(const std::string& text) {
  std::string out;
  size_t word = 0;  // where the present word begins in `out`
  for (const char c : text) {
    if (c == '/') {
      out.resize(word);
    } else {
      out += c;
      if (c == ' ' || c == '"' || c == '(') word = out.size();
    }
  }
  return out;
}

}  // namespace

std::string Counted(size_t count, const std::string& one, const std::string& several) {
  return fmt::format("{} {}", count, count == 1 ? one : several);
}

std::vector<CaptionPart> CaptionOf(const JobRecord& record) {
  std::vector<CaptionPart> parts;
  CaptionPart sizes{"Printed size", {}};
  for (const PlacedRecord& placed : record.placements) {
    if (!placed.width_mm || !placed.height_mm) continue;
    const std::string line = fmt::format("{} {} \u00d7 {} mm", placed.surface,
                                         MmText(*placed.width_mm), MmText(*placed.height_mm));
    // A pattern repeats what was said.
    if (std::find(sizes.values.begin(), sizes.values.end(), line) == sizes.values.end()) {
      sizes.values.push_back(line);
    }
  }
  if (sizes.values.size() > kMostPlacements) {
    const size_t more = sizes.values.size() - (kMostPlacements - 1);
    sizes.values.resize(kMostPlacements - 1);
    sizes.values.push_back(fmt::format("and {} more", more));
  }
  if (!sizes.values.empty()) parts.push_back(std::move(sizes));
  parts.push_back({"Colours", {ConditionOf(record)}});
  return parts;
}

std::vector<std::string> WarningsOf(const JobRecord& record, size_t most) {
  std::vector<std::string> warnings;
  for (size_t i = 0; i < std::min(most, record.warnings.size()); ++i) {
    warnings.push_back("Note: " + WithoutFolders(record.warnings[i]));
  }
  return warnings;
}

}  // namespace wheatpaste
