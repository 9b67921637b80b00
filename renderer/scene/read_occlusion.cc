#include "scene/read_occlusion.h"

#include "scene/read_rows.h"

namespace wheatpaste {
namespace {

constexpr LinesRule kOutlines{"outline", "[[x, y], [x, y], [x, y], ...]", 3, kMaxOutlinePoints,
                              kMaxOutlines};
constexpr LinesRule kStrokes{"stroke", "[[x, y], [x, y], ...]", 2, kMaxOutlinePoints, kMaxOutlines};
constexpr NumberRule kWidthRule{0, false, 1000, "a width above 0 px, at most 1000 px"};
// Width of a stroke where the scene does not say, photo px.
constexpr double kStrokeWidthPx = 12;

}  // namespace

void ReadOcclusion(TableReader& table, const ScenePaths& paths, Occlusion& occlusion) {
  occlusion.matte = ReadFileName(table, "matte", paths);
  occlusion.in_front = ReadLines(table, "in_front", kOutlines);
  const TomlNode* node = table.Find("matte_strokes");
  if (!node) return;
  if (node->kind != TomlKind::kTable) {
    table.Refuse("matte_strokes", *node,
                 "expected { in_front = [...], surface = [...], width = 12 }, each a list of "
                 "strokes in photo px");
    return;
  }
  TableReader inside(*node, table.KeyOf("matte_strokes"), table.mistakes());
  MatteStrokes strokes;
  strokes.place = table.mistakes().PlaceOf(*node);
  for (const char* key : {"in_front", "surface"}) {
    inside.Require(key, "at least one stroke [[x, y], [x, y], ...] in photo px");
  }
  strokes.in_front = ReadLines(inside, "in_front", kStrokes);
  strokes.surface = ReadLines(inside, "surface", kStrokes);
  strokes.width_px = inside.Number("width", kWidthRule).value_or(kStrokeWidthPx);
  inside.RefuseUnknown();
  if (!table.Find("matte")) {
    table.Refuse("matte_strokes", *node,
                 "expected `matte = \"FILE.png\"` beside it: the file that the matte is kept in");
  }
  occlusion.strokes = std::move(strokes);
}

}  // namespace wheatpaste
