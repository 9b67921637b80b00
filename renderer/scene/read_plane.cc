// The marks of a plane: corners and further points.

#include <algorithm>

#include "scene/read_rows.h"
#include "scene/read_shapes.h"

namespace wheatpaste {
namespace {

void ReadCorners(TableReader& table, Surface& surface) {
  constexpr char kExpected[] =
      "four points [x, y] in photo px, clockwise from the surface's own top left";
  const TomlNode* node = table.Find("corners");
  if (!node) {
    if (!table.Find("marks")) table.Require("corners", kExpected);
    return;
  }
  surface.corners_place = table.mistakes().PlaceOf(*node);
  if (node->kind != TomlKind::kArray || node->items.size() != 4) {
    table.Refuse("corners", *node, fmt::format("expected {}", kExpected));
    return;
  }
  const std::string subject = table.SubjectOf("corners", *node);
  std::vector<PhotoPx> corners;
  for (size_t i = 0; i < 4; ++i) {
    std::array<double, 2> xy;
    const std::string label = fmt::format("point {}", i + 1);
    if (!ReadRow(node->items[i], label, "[x, y] in photo px", subject, table.mistakes(), xy)) {
      continue;
    }
    const PhotoPx corner{xy[0], xy[1]};
    if (std::find(corners.begin(), corners.end(), corner) != corners.end()) {
      table.mistakes().Add(node->items[i], subject,
                           label + ": expected four different points, this one is there already");
    }
    corners.push_back(corner);
  }
  surface.corners = std::move(corners);
}

void ReadFurtherMarks(TableReader& table, SurfaceDraft& draft) {
  const TomlNode* node = table.Find("marks");
  if (!node) return;
  draft.surface.marks_place = table.mistakes().PlaceOf(*node);
  if (!draft.mm_known) {
    table.Refuse("marks", *node,
                 "expected `size` beside it; without the size no place on the surface is known");
  }
  const bool has_corners = table.Find("corners") != nullptr;
  const size_t fewest = has_corners ? 1 : 4;
  if (node->kind != TomlKind::kArray || node->items.size() < fewest ||
      node->items.size() > kMaxMarks) {
    table.Refuse("marks", *node,
                 fmt::format("expected {} to {} rows [photo_x, photo_y, mm_x, mm_y]{}", fewest,
                             kMaxMarks, has_corners ? "" : " where `corners` is left out"));
    return;
  }
  const std::string subject = table.SubjectOf("marks", *node);
  for (size_t i = 0; i < node->items.size(); ++i) {
    std::array<double, 4> row;
    if (ReadRow(node->items[i], fmt::format("row {}", i + 1), "[photo_x, photo_y, mm_x, mm_y]",
                subject, table.mistakes(), row)) {
      draft.surface.marks.push_back({{row[0], row[1]}, {row[2], row[3]}});
    }
  }
}

}  // namespace

void ReadPlane(TableReader& table, SurfaceDraft& draft) {
  ReadFlatSize(table, draft);
  draft.mm_known = draft.surface.size_place.line > 0;
  ReadCorners(table, draft.surface);
  ReadFurtherMarks(table, draft);
}

}  // namespace wheatpaste
