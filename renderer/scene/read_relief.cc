#include "scene/read_relief.h"

namespace wheatpaste {
namespace {

constexpr char kForms[] =
    "\"none\", \"photo\", { heights = \"folds.png\", mm = 8 } or { normals = \"folds-n.png\" }";
constexpr NumberRule kHeightRule{0, false, 10000, "a height of white above 0 mm, at most 10000 mm"};
constexpr NumberRule kAmountRule{0, true, 3, "a number from 0 to 3"};
constexpr char kLightForm[] =
    "[right, up, towards the camera], such as [-1, 1, 1] for light from the upper left";

void ReadPictureRelief(TableReader& inside, const ScenePaths& paths, ReliefMarks& relief) {
  const TomlNode* heights = inside.Find("heights");
  const TomlNode* normals = inside.Find("normals");
  if (!heights && !normals) {
    inside.Require("heights", "a gray picture of the heights, or `normals` in its place");
    inside.Find("mm");
    return;
  }
  if (heights && normals) {
    inside.Refuse("normals", *normals, "expected heights or normals, not both");
  }
  if (heights) {
    relief.kind = ReliefKind::kHeights;
    if (auto file = ReadFileName(inside, "heights", paths)) relief.file = *std::move(file);
    if (inside.Require("mm", "the height of white above black, mm")) {
      relief.white_mm = inside.Number("mm", kHeightRule).value_or(0);
    }
    return;
  }
  relief.kind = ReliefKind::kNormals;
  if (auto file = ReadFileName(inside, "normals", paths)) relief.file = *std::move(file);
  if (const TomlNode* mm = inside.Find("mm")) {
    inside.Refuse("mm", *mm, "expected none beside normals: they tell slopes, not heights");
  }
}

}  // namespace

void ReadRelief(TableReader& table, const ScenePaths& paths, SurfaceDraft& draft) {
  ReliefMarks& relief = draft.surface.relief;
  const TomlNode* node = table.Find("relief");
  if (node) {
    relief.place = table.mistakes().PlaceOf(*node);
    if (node->kind == TomlKind::kTable) {
      TableReader inside(*node, table.KeyOf("relief"), table.mistakes());
      ReadPictureRelief(inside, paths, relief);
      inside.RefuseUnknown();
    } else if (node->kind == TomlKind::kString && node->text == "photo") {
      relief.kind = ReliefKind::kPhoto;
    } else if (node->kind != TomlKind::kString || node->text != "none") {
      table.Refuse("relief", *node, std::string("expected ") + kForms);
    }
    if (relief.kind != ReliefKind::kNone && draft.surface.shape == Shape::kPatch) {
      table.Refuse("relief", *node,
                   "expected \"none\" for a patch: its grid says how the artwork runs, but not how "
                   "the sheet stands in space");
    }
  }
  if (relief.kind == ReliefKind::kHeights && !draft.mm_known) {
    table.Refuse("relief", *node, "expected `size` of the surface beside it: heights are in mm");
  }
  if (const auto amount = table.Number("relief_amount", kAmountRule)) {
    relief.amount = *amount;
    if (relief.kind == ReliefKind::kNone) {
      table.Refuse("relief_amount", *table.Find("relief_amount"),
                   "expected a `relief` beside it that it can weaken or strengthen");
    }
  }
  if (const auto light = table.Numbers("light_from", 3, kCoordinateRule, kLightForm)) {
    const TomlNode& value = *table.Find("light_from");
    // The camera's axes: y down, z away.
    const Eigen::Vector3d towards((*light)[0], -(*light)[1], -(*light)[2]);
    if (!(towards.norm() > 0)) {
      table.Refuse("light_from", value,
                   std::string("expected a direction other than [0, 0, 0]: ") + kLightForm);
    } else {
      relief.light_from = towards.normalized();
    }
    if (relief.kind != ReliefKind::kPhoto) draft.unread_light = &value;
  }
}

}  // namespace wheatpaste
