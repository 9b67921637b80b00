#include <array>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/read_occlusion.h"
#include "scene/read_relief.h"
#include "scene/read_shapes.h"
#include "scene/read_substrate.h"

namespace wheatpaste {
namespace {

// In the order of Shape; the last is not to be written.
constexpr std::array<const char*, 7> kShapeNames{"plane", "cylinder", "cone", "box",
                                                 "patch", "mesh",     "stage"};
constexpr size_t kWrittenShapes = 6;
constexpr char kShapes[] = "\"plane\", \"cylinder\", \"cone\", \"box\", \"patch\" or \"mesh\"";
// The shape written or, where it is misspelt, meant; none: what the other keys mean is not known.
std::optional<Shape> ReadShape(TableReader& table) {
  const TomlNode* node = table.Require("shape", kShapes);
  if (!node) return std::nullopt;
  if (node->kind != TomlKind::kString) {
    table.Refuse("shape", *node, fmt::format("expected {}, not {}", kShapes, NameOf(node->kind)));
    return std::nullopt;
  }
  const auto shape_of = [](const std::string& name) -> std::optional<Shape> {
    for (size_t i = 0; i < kWrittenShapes; ++i) {
      if (kShapeNames[i] == name) return static_cast<Shape>(i);
    }
    return std::nullopt;
  };
  if (const auto shape = shape_of(node->text)) return shape;
  const std::string nearest =
      NearestName(node->text, {kShapeNames.begin(), kShapeNames.begin() + kWrittenShapes});
  table.Refuse("shape", *node,
               nearest.empty()
                   ? fmt::format("expected {}", kShapes)
                   : fmt::format("expected {}; did you mean \"{}\"?", kShapes, nearest));
  return shape_of(nearest);
}

void ReadName(TableReader& table, const std::vector<SurfaceDraft>& earlier, Surface& surface) {
  table.Require("name", "a name, to which placements refer");
  const TomlNode* node = table.Line("name", kMaxSceneNameBytes);
  if (!node) return;
  surface.name = {node->text, table.mistakes().PlaceOf(*node), table.KeyOf("name")};
  for (const SurfaceDraft& draft : earlier) {
    if (draft.surface.name.value != node->text) continue;
    table.Refuse("name", *node,
                 fmt::format("expected a name of its own; the surface in line {} has this one",
                             draft.surface.name.place.line));
    return;
  }
}

}  // namespace

const char* NameOf(Shape shape) { return kShapeNames[static_cast<size_t>(shape)]; }

void ReadFlatSize(TableReader& table, SurfaceDraft& draft) {
  const TomlNode* node = table.Find("size");
  if (!node) return;
  draft.surface.size_place = table.mistakes().PlaceOf(*node);
  if (const auto size = table.Numbers("size", 2, kLengthRule, "[width, height] in mm")) {
    draft.surface.size = SurfaceMm{(*size)[0], (*size)[1]};
  }
}

SurfaceDraft ReadSurface(const TomlNode& node, const SceneContext& context,
                         const std::vector<SurfaceDraft>& earlier, Mistakes& mistakes) {
  SurfaceDraft draft;
  TableReader table(node, "surface", mistakes);
  ReadName(table, earlier, draft.surface);
  const std::optional<Shape> shape = ReadShape(table);
  draft.readable = shape.has_value();
  if (!shape) return draft;  // its other keys belong to a shape that is not known
  draft.surface.shape = *shape;
  switch (*shape) {
    case Shape::kPlane:
      ReadPlane(table, draft);
      break;
    case Shape::kCylinder:
      ReadCylinder(table, draft);
      break;
    case Shape::kCone:
      ReadCone(table, draft);
      break;
    case Shape::kBox:
      ReadBox(table, draft);
      break;
    case Shape::kPatch:
      ReadPatch(table, draft);
      break;
    case Shape::kMesh:
      ReadMesh(table, context.paths, draft);
      break;
    case Shape::kStage:
      break;
  }
  ReadSubstrate(table, context, draft.surface);
  ReadRelief(table, context.paths, draft);
  const bool sharp = table.Either("sharpness", "photo", "artwork").value_or(false);
  draft.surface.sharpness = sharp ? Sharpness::kArtwork : Sharpness::kPhoto;
  ReadOcclusion(table, context.paths, draft.surface.occlusion);
  table.RefuseUnknown();
  return draft;
}

}  // namespace wheatpaste
