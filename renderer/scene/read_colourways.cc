#include "scene/read_colourways.h"

#include <algorithm>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/presets.h"
#include "scene/read_colour.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

// The lines of `recolour` (hex to hex) or `swatches` (name to name or hex).
void ReadChanges(TableReader& table, const char* key, bool by_name, Colourway& colourway) {
  const char* const expected =
      by_name ? "expected { \"a swatch\" = \"another, or #rrggbb\" }"
              : "expected { \"#rrggbb\" = \"#rrggbb\" }, from colour to colour";
  const TomlNode* node = table.Find(key);
  if (!node) return;
  if (node->kind != TomlKind::kTable || node->entries.empty()) {
    table.Refuse(key, *node, expected);
    return;
  }
  Mistakes& mistakes = table.mistakes();
  TableReader inside(*node, table.KeyOf(key), mistakes);
  for (const TomlEntry& entry : node->entries) {
    const Place place{mistakes.file(), entry.line, entry.column};
    if (colourway.changes.size() == kMaxColourChanges) {
      mistakes.Add(place, inside.KeyOf(entry.key),
                   fmt::format("expected at most {} colours", kMaxColourChanges));
      return;
    }
    std::string complaint;
    if (!by_name && !ColourFromHex(entry.key)) {
      complaint = "expected a colour as the key: #rrggbb, such as \"#0f4a3f\"";
    } else if (by_name && entry.key.starts_with('#')) {
      complaint = "expected a swatch's name as the key; colours stand in recolour";
    }
    if (!complaint.empty()) {
      mistakes.Add(place, inside.KeyOf(entry.key), complaint);
      continue;
    }
    const TomlNode& value = entry.value;
    if (value.kind != TomlKind::kString || (!by_name && !ColourFromHex(value.text))) {
      inside.Refuse(entry.key, value,
                    by_name ? "expected a swatch's name or #rrggbb, such as \"#0f4a3f\""
                            : "expected #rrggbb, such as \"#0f4a3f\"");
      continue;
    }
    colourway.changes.push_back({{entry.key, place, inside.KeyOf(entry.key)},
                                 {value.text, mistakes.PlaceOf(value), inside.KeyOf(entry.key)}});
  }
}

}  // namespace

std::vector<Colourway> ReadColourways(TableReader& root) {
  std::vector<Colourway> colourways;
  for (const TomlNode* node : ReadAtMost(root, "colourway", kMaxColourways)) {
    TableReader table(*node, "colourway", root.mistakes());
    Colourway colourway;
    colourway.name = ReadOwnName(table, "\"night\"", colourways);
    ReadChanges(table, "recolour", false, colourway);
    ReadChanges(table, "swatches", true, colourway);
    if (!table.Find("recolour") && !table.Find("swatches")) {
      root.mistakes().Add(*node, "colourway",
                          "missing; expected recolour = { \"#rrggbb\" = \"#rrggbb\" }, or swatches "
                          "= { \"a swatch\" = \"another\" }");
    }
    table.RefuseUnknown();
    colourways.push_back(std::move(colourway));
  }
  return colourways;
}

Result<std::vector<ColourChange>> ChangesOf(const Colourway& colourway,
                                            const std::vector<Swatch>& swatches) {
  std::vector<ColourChange> changes;
  Errors errors;
  const auto refuse = [&errors](const Placed<std::string>& at, bool is_key,
                                const std::string& message) {
    errors.push_back(
        {at.place,
         is_key ? at.key : fmt::format("{} = \"{}\"", at.key, PrintableText(at.value, 64)),
         message});
  };
  for (const NamedChange& line : colourway.changes) {
    std::string complaint;
    const auto from = ColourOf(line.from.value, swatches, complaint);
    if (!from) refuse(line.from, true, complaint);
    const auto to = ColourOf(line.to.value, swatches, complaint);
    if (!to) refuse(line.to, false, complaint);
    if (!from || !to) continue;
    const auto other = std::find_if(changes.begin(), changes.end(), [&](const ColourChange& one) {
      return one.from.value == *from;
    });
    if (other == changes.end()) {
      changes.push_back({{*from, line.from.place, line.from.key}, *to});
    } else {
      refuse(line.from, true,
             fmt::format("the colour {} stands in line {} already; expected each once",
                         HexOf(*from), other->from.place.line));
    }
  }
  if (!errors.empty()) return errors;
  return changes;
}

Result<Colourway> FindColourway(const std::vector<Colourway>& colourways,
                                const Placed<std::string>& name) {
  std::vector<std::string> names;
  for (const Colourway& one : colourways) {
    if (one.name.value == name.value) return one;
    names.push_back(one.name.value);
  }
  const std::string nearest = NearestName(name.value, names);
  std::string hint = "there are none";
  if (!nearest.empty()) {
    hint = fmt::format("did you mean \"{}\"?", nearest);
  } else if (!names.empty()) {
    hint = fmt::format("there {} {}", names.size() == 1 ? "is" : "are", QuotedList(names));
  }
  return Error{name.place, name.key, "no colourway has this name; " + hint};
}

}  // namespace wheatpaste
