#include "present/slides_caption.h"

#include <algorithm>

#include <fmt/format.h>

#include "present/caption.h"

namespace wheatpaste {
std::vector<CaptionPart> CaptionOf(const JobRecord& record) {
  std::vector<CaptionPart> parts;
  CaptionPart sizes{"Printed size", SizeLinesOf(record)};
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
