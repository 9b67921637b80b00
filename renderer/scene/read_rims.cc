// The keys of cylinder and cone: dimensions, rims, turn.

#include "scene/read_rows.h"
#include "scene/read_shapes.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kTurnRule{-360, true, 360, "an angle in degrees, from -360 to 360"};
constexpr size_t kFewestRimPoints = 3;

double RequireLength(TableReader& table, std::string_view key, std::string_view expected) {
  table.Require(key, expected);
  return table.Number(key, kLengthRule).value_or(0);
}

Place PlaceOfKey(TableReader& table, std::string_view key) {
  const TomlNode* node = table.Find(key);
  return table.mistakes().PlaceOf(node ? *node : table.table());
}

void ReadRim(TableReader& table, std::string_view key, MarkedRim& rim) {
  constexpr char kExpected[] =
      "points [x, y] in photo px: the rim's leftmost, the lowest of its near arc, its rightmost, "
      "then any others";
  rim.key = table.KeyOf(key);
  const TomlNode* node = table.Require(key, kExpected);
  if (!node) return;
  rim.place = table.mistakes().PlaceOf(*node);
  if (node->kind != TomlKind::kArray || node->items.size() < kFewestRimPoints ||
      node->items.size() > kMaxMarks) {
    table.Refuse(key, *node,
                 fmt::format("expected {} to {} {}", kFewestRimPoints, kMaxMarks, kExpected));
    return;
  }
  rim.points = ReadPoints(*node, "point", table.SubjectOf(key, *node), table.mistakes());
}

void ReadRims(TableReader& table, SurfaceDraft& draft) {
  RimMarks& rims = draft.surface.rims;
  rims.height = RequireLength(table, "height", "its height along the axis, in mm");
  rims.height_place = PlaceOfKey(table, "height");
  ReadRim(table, "rim_top", rims.top);
  ReadRim(table, "rim_bottom", rims.bottom);
  rims.turn_degrees = table.Number("turn", kTurnRule).value_or(0);
  draft.mm_known = true;
}

}  // namespace

void ReadCylinder(TableReader& table, SurfaceDraft& draft) {
  RimMarks& rims = draft.surface.rims;
  rims.diameter_top = RequireLength(table, "diameter", "its diameter in mm");
  rims.diameter_bottom = rims.diameter_top;
  rims.diameter_key = table.KeyOf("diameter");
  rims.diameter_place = PlaceOfKey(table, "diameter");
  ReadRims(table, draft);
}

void ReadCone(TableReader& table, SurfaceDraft& draft) {
  RimMarks& rims = draft.surface.rims;
  rims.diameter_top = RequireLength(table, "diameter_top", "the upper rim's diameter in mm");
  rims.diameter_bottom = RequireLength(table, "diameter_bottom", "the lower rim's diameter in mm");
  rims.diameter_key = table.KeyOf("diameter_top");
  rims.diameter_place = PlaceOfKey(table, "diameter_top");
  ReadRims(table, draft);
}

}  // namespace wheatpaste
