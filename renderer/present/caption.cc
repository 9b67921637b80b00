#include "present/caption.h"

#include <cmath>

#include <fmt/format.h>

namespace wheatpaste {

std::string NameOf(const JobRecord& record) {
  return record.colourway ? record.artwork + ", " + *record.colourway : record.artwork;
}

std::string MmText(double mm) {
  // A tenth counts on a swing tag, not on a poster.
  return mm < 100 ? fmt::format("{:g}", std::round(mm * 10) / 10) : fmt::format("{:.0f}", mm);
}

std::string SizesOf(const JobRecord& record) {
  std::string text;
  for (const PlacedRecord& placed : record.placements) {
    if (!placed.width_mm || !placed.height_mm) continue;
    if (!text.empty()) text += "; ";
    text += fmt::format("{} {} × {} mm", placed.surface, MmText(*placed.width_mm),
                        MmText(*placed.height_mm));
  }
  return text;
}

std::string ConditionOf(const JobRecord& record) {
  return record.print_condition.empty() ? "no print condition, colours as on screen"
                                        : "print condition: " + record.print_condition;
}

std::string ViewOf(const JobRecord& record) {
  std::string text;
  if (record.from_metres) text = fmt::format("from {:g} m", *record.from_metres);
  if (!record.vision.empty()) {
    if (!text.empty()) text += ", ";
    text += fmt::format("as {} colour vision sees it", record.vision);
  }
  return text;
}

}  // namespace wheatpaste
