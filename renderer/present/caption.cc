#include "present/caption.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace wheatpaste {
namespace {

constexpr size_t kMostSizeLines = 5;

}  // namespace

std::string Counted(size_t count, const std::string& one, const std::string& several) {
  return fmt::format("{} {}", count, count == 1 ? one : several);
}

const std::string& TitleOf(const Manifest& manifest) {
  return manifest.title.empty() ? manifest.run_sheet : manifest.title;
}

const std::string& SceneTitleOf(const JobRecord& record) {
  return record.scene_title.empty() ? record.scene : record.scene_title;
}

std::string NameOf(const JobRecord& record) {
  return record.colourway ? record.artwork + ", " + *record.colourway : record.artwork;
}

std::string MmText(double mm) {
  // A tenth counts on a swing tag, not on a poster.
  return mm < 100 ? fmt::format("{:g}", std::round(mm * 10) / 10) : fmt::format("{:.0f}", mm);
}

std::string WithoutFolders(const std::string& text) {
  std::string out;
  bool is_quoted = false;  // then a path may hold spaces
  for (size_t at = 0; at < text.size();) {
    const size_t end = std::min(text.find_first_of(is_quoted ? "\"" : " \"();,", at), text.size());
    const std::string word = text.substr(at, end - at);
    const size_t slash = word.rfind('/');
    const size_t dot = word.find('.', slash == std::string::npos ? 0 : slash);
    // A path from a root, or one to a file: px/mm is none.
    const bool is_path =
        slash != std::string::npos &&
        (word.front() == '/' || (dot != std::string::npos && dot + 1 < word.size()));
    out += is_path ? word.substr(slash + 1) : word;
    if (end < text.size()) out += text[end];
    if (end < text.size() && text[end] == '"') is_quoted = !is_quoted;
    at = end + 1;
  }
  return out;
}

std::vector<std::string> SizeLinesOf(const JobRecord& record) {
  std::vector<std::string> lines;
  for (const PlacedRecord& placed : record.placements) {
    if (!placed.width_mm || !placed.height_mm) continue;
    const auto on_it = std::count_if(
        record.placements.begin(), record.placements.end(), [&](const PlacedRecord& other) {
          return other.surface == placed.surface && other.artwork != placed.artwork;
        });
    const std::string what =
        on_it == 0 ? placed.surface : WithoutFolders(placed.artwork) + " on " + placed.surface;
    const std::string line = fmt::format("{} \u00d7 {} mm, {}", MmText(*placed.width_mm),
                                         MmText(*placed.height_mm), what);
    // A pattern repeats what was said.
    if (std::find(lines.begin(), lines.end(), line) == lines.end()) lines.push_back(line);
  }
  if (lines.size() > kMostSizeLines) {
    const size_t more = lines.size() - (kMostSizeLines - 1);
    lines.resize(kMostSizeLines - 1);
    lines.push_back(fmt::format("and {} more", more));
  }
  return lines;
}

std::string SizesOf(const JobRecord& record) {
  std::string text;
  for (const std::string& line : SizeLinesOf(record)) text += (text.empty() ? "" : "; ") + line;
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
