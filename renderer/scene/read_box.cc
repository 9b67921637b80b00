// The keys of a box: its size, as far as it is known, and its seen corners.

#include <algorithm>

#include "scene/nearest_name.h"
#include "scene/read_rows.h"
#include "scene/read_shapes.h"

namespace wheatpaste {
namespace {

constexpr size_t kFewestVertices = 5;
constexpr char kUnknown[] = "unknown";

void ReadBoxSize(TableReader& table, SurfaceDraft& draft) {
  constexpr char kExpected[] =
      "[width, height, depth] in mm, \"unknown\" in place of one that is to be solved";
  const TomlNode* node = table.Find("size");
  if (!node) return;
  draft.surface.size_place = table.mistakes().PlaceOf(*node);
  // Also where the size itself is refused: that is mistake enough.
  draft.mm_known = true;
  if (node->kind != TomlKind::kArray || node->items.size() != 3) {
    table.Refuse("size", *node, fmt::format("expected {}", kExpected));
    return;
  }
  bool any = false;
  for (size_t i = 0; i < 3; ++i) {
    const TomlNode& item = node->items[i];
    if (item.kind == TomlKind::kString && item.text == kUnknown) continue;
    any = true;
    if (item.kind != TomlKind::kNumber) {
      table.mistakes().Add(item, table.SubjectOf("size", *node),
                           fmt::format("expected {}", kExpected));
      continue;
    }
    const std::string complaint = NumberComplaint(item, kLengthRule);
    if (complaint.empty()) {
      draft.surface.box.size[i] = item.number;
    } else {
      table.mistakes().Add(item, table.SubjectOf("size", *node), complaint);
    }
  }
  draft.mm_known = any;
}

void ReadVertices(TableReader& table, BoxMarks& box) {
  const std::string expected = fmt::format(
      "a table [surface.vertices] of at least {} seen corners, each such as front_top_left = "
      "[x, y] in photo px",
      kFewestVertices);
  const TomlNode* node = table.Require("vertices", expected);
  if (!node) return;
  box.vertices_place = table.mistakes().PlaceOf(*node);
  if (node->kind != TomlKind::kTable) {
    table.Refuse("vertices", *node, "expected " + expected);
    return;
  }
  TableReader vertices(*node, table.KeyOf("vertices"), table.mistakes());
  for (int index = 0; index < 8; ++index) {
    const char* name = kBoxVertexNames[index];
    const TomlNode* point = vertices.Find(name);
    if (!point) continue;
    std::array<double, 2> xy;
    if (ReadRow(*point, name, "[x, y] in photo px", vertices.SubjectOf(name, *point),
                table.mistakes(), xy)) {
      box.vertices.push_back({index, {xy[0], xy[1]}, table.mistakes().PlaceOf(*point)});
    }
  }
  vertices.RefuseUnknown();
  if (node->entries.size() < kFewestVertices) {
    table.mistakes().Add(*node, table.KeyOf("vertices"),
                         fmt::format("expected at least {} seen corners, there are {}",
                                     kFewestVertices, node->entries.size()));
  }
}

}  // namespace

void ReadBox(TableReader& table, SurfaceDraft& draft) {
  ReadBoxSize(table, draft);
  ReadVertices(table, draft.surface.box);
}

}  // namespace wheatpaste
