// The keys of a patch: a grid of marked points, and its size laid flat.

#include "scene/read_rows.h"
#include "scene/read_shapes.h"

namespace wheatpaste {
namespace {

constexpr size_t kFewest = 2, kMost = 16;

}  // namespace

void ReadPatch(TableReader& table, SurfaceDraft& draft) {
  ReadFlatSize(table, draft);
  draft.mm_known = draft.surface.size_place.line > 0;
  const std::string expected = fmt::format(
      "{0} to {1} rows of {0} to {1} points [x, y] in photo px, from the surface's own top left",
      kFewest, kMost);
  const TomlNode* node = table.Require("points", expected);
  if (!node) return;
  PatchMarks& patch = draft.surface.patch;
  patch.place = table.mistakes().PlaceOf(*node);
  const auto counts = [](const TomlNode& list) {
    return list.kind == TomlKind::kArray && list.items.size() >= kFewest &&
           list.items.size() <= kMost;
  };
  if (!counts(*node) || !counts(node->items[0])) {
    table.Refuse("points", *node, "expected " + expected);
    return;
  }
  const std::string subject = table.SubjectOf("points", *node);
  const size_t columns = node->items[0].items.size();
  for (size_t row = 0; row < node->items.size(); ++row) {
    const TomlNode& line = node->items[row];
    if (line.kind != TomlKind::kArray || line.items.size() != columns) {
      table.mistakes().Add(
          line, subject,
          fmt::format("row {}: expected {} points, as many as in row 1", row + 1, columns));
      continue;
    }
    for (size_t i = 0; i < columns; ++i) {
      std::array<double, 2> xy;
      if (ReadRow(line.items[i], fmt::format("row {}, point {}", row + 1, i + 1),
                  "[x, y] in photo px", subject, table.mistakes(), xy)) {
        patch.points.push_back({xy[0], xy[1]});
        patch.point_places.push_back(table.mistakes().PlaceOf(line.items[i]));
      }
    }
  }
  patch.columns = static_cast<int>(columns);
  patch.rows = static_cast<int>(node->items.size());
}

}  // namespace wheatpaste
