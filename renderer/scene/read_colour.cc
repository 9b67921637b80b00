#include "scene/read_colour.h"

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr char kExpectedHex[] = "expected #rrggbb, such as \"#0f4a3f\"";

std::string UnknownSwatch(const std::string& text, const std::vector<Swatch>& swatches) {
  if (swatches.empty()) return "no swatch has this name; there are none; write #rrggbb";
  std::vector<std::string> names;
  for (const Swatch& swatch : swatches) names.push_back(swatch.name);
  const std::string nearest = NearestName(text, names);
  return "no swatch has this name; " + (nearest.empty()
                                            ? "there are " + QuotedList(names)
                                            : fmt::format("did you mean \"{}\"?", nearest));
}

}  // namespace

std::vector<Swatch> ReadSwatches(TableReader& root) {
  std::vector<Swatch> swatches;
  const TomlNode* node = root.Find("swatch");
  if (!node) return swatches;
  if (node->kind != TomlKind::kTable) {
    root.Refuse("swatch", *node, "expected a [swatch] table of names and colours");
    return swatches;
  }
  Mistakes& mistakes = root.mistakes();
  TableReader table(*node, "swatch", mistakes);
  for (const TomlEntry& entry : node->entries) {
    const Place place{mistakes.file(), entry.line, entry.column};
    if (swatches.size() == kMaxSwatches) {
      mistakes.Add(place, table.KeyOf(entry.key),
                   fmt::format("expected at most {} swatches", kMaxSwatches));
      break;
    }
    std::string complaint = LineComplaint(entry.key, kMaxSceneNameBytes);
    if (entry.key.starts_with('#')) complaint = "expected a name that does not begin with #";
    if (!complaint.empty()) {
      mistakes.Add(place, table.KeyOf(entry.key), complaint);
      continue;
    }
    const TomlNode* value = table.Find(entry.key);
    const auto colour =
        value->kind == TomlKind::kString ? ColourFromHex(value->text) : std::nullopt;
    if (!colour) table.Refuse(entry.key, *value, kExpectedHex);
    // A swatch whose colour was refused is still known by name.
    swatches.push_back({entry.key, colour.value_or(Srgb8{}), place});
  }
  return swatches;
}

std::optional<Srgb8> ColourOf(const std::string& text, const std::vector<Swatch>& swatches,
                              std::string& complaint) {
  if (text.starts_with('#')) {
    const auto colour = ColourFromHex(text);
    if (!colour) complaint = kExpectedHex;
    return colour;
  }
  for (const Swatch& swatch : swatches) {
    if (swatch.name == text) return swatch.colour;
  }
  complaint = UnknownSwatch(text, swatches);
  return std::nullopt;
}

std::optional<Srgb8> ReadColour(TableReader& table, std::string_view key,
                                const std::vector<Swatch>& swatches) {
  const TomlNode* node = table.Find(key);
  if (!node) return std::nullopt;
  std::string complaint = "expected a swatch's name or #rrggbb, such as \"#0f4a3f\"";
  if (node->kind == TomlKind::kString) {
    if (const auto colour = ColourOf(node->text, swatches, complaint)) return colour;
  }
  table.Refuse(key, *node, complaint);
  return std::nullopt;
}

}  // namespace wheatpaste
