// [frame]: what of the photo must be seen, whatever the picture's shape.
#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr char kForms[] =
    "rectangle = [left, top, right, bottom] in photo px, or surface = \"NAME\"";
constexpr NumberRule kMarginRule{0, true, 2, "a share of the larger side, from 0 to 2"};
constexpr double kUsualMargin = 0.15;

void ReadRectangle(TableReader& table, FramedPart& frame) {
  const auto sides =
      table.Numbers("rectangle", 4, kCoordinateRule, "[left, top, right, bottom] in photo px");
  if (!sides) return;
  const std::vector<double>& s = *sides;
  if (!(s[2] > s[0]) || !(s[3] > s[1])) {
    table.Refuse("rectangle", *table.Find("rectangle"),
                 "expected the right beyond the left and the bottom below the top");
  }
  frame.rectangle = {s[0], s[1], s[2], s[3]};
}

void ReadFramedSurface(TableReader& table, const std::vector<SurfaceDraft>& surfaces,
                       FramedPart& frame) {
  const TomlNode* node = table.Line("surface", kMaxSceneNameBytes);
  if (!node) return;
  std::vector<std::string> names;
  for (size_t i = 0; i < surfaces.size(); ++i) {
    const std::string& name = surfaces[i].surface.name.value;
    if (name == node->text) {
      frame.surface = i;
      return;
    }
    if (name.empty()) return;  // that was noted, and it may be the one that is meant
    names.push_back(name);
  }
  const std::string nearest = NearestName(node->text, names);
  table.Refuse("surface", *node,
               "no surface has this name; " + (nearest.empty()
                                                   ? "there are: " + QuotedList(names)
                                                   : fmt::format("did you mean \"{}\"?", nearest)));
}

}  // namespace

std::optional<FramedPart> ReadFrame(TableReader& root, const std::vector<SurfaceDraft>& surfaces) {
  const TomlNode* node = root.Find("frame");
  if (!node) return {};
  if (node->kind != TomlKind::kTable) {
    root.Refuse("frame", *node, fmt::format("expected a [frame] table with {}", kForms));
    return {};
  }
  TableReader table(*node, "frame", root.mistakes());
  FramedPart frame;
  frame.margin = kUsualMargin;
  const TomlNode* rectangle = table.Find("rectangle");
  const TomlNode* surface = table.Find("surface");
  if (!rectangle && !surface) {
    root.mistakes().Add(*node, "frame", fmt::format("missing; expected {}", kForms));
  } else if (rectangle && surface) {
    table.Refuse("surface", *surface, "expected rectangle or surface, not both");
  }
  ReadRectangle(table, frame);
  ReadFramedSurface(table, surfaces, frame);
  if (const auto margin = table.Number("margin", kMarginRule)) {
    frame.margin = *margin;
    if (rectangle) {
      table.Refuse("margin", *table.Find("margin"),
                   "expected it beside surface alone; a rectangle says where it ends");
    }
  }
  const char* key = rectangle ? "rectangle" : "surface";
  if (const TomlNode* value = rectangle ? rectangle : surface) {
    frame.place = root.mistakes().PlaceOf(*value);
    frame.subject = table.SubjectOf(key, *value);
  }
  table.RefuseUnknown();
  return frame;
}

}  // namespace wheatpaste
