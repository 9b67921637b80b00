// Faces of a stage's objects that placements and the frame name, as surfaces.
#include <algorithm>
#include <span>

#include <fmt/format.h>

#include "scene/read_stage.h"
#include "scene/read_stage_parts.h"

namespace wheatpaste {
namespace {

class NamedFaces {
 public:
  explicit NamedFaces(const Stage& stage) : stage_(stage) {}

  // node  a string under `key` of `table`, or anything else: that is refused where it is read.
  void Add(TableReader& table, std::string_view key, const TomlNode& node) {
    if (node.kind != TomlKind::kString || node.text.empty()) return;
    const bool there = std::any_of(faces_.begin(), faces_.end(), [&](const SurfaceDraft& draft) {
      return draft.surface.name.value == node.text;
    });
    if (there) return;
    SurfaceDraft draft;
    draft.surface.name = {node.text, table.mistakes().PlaceOf(node), table.KeyOf(key)};
    draft.surface.shape = Shape::kStage;
    draft.mm_known = true;
    draft.readable = Find(table, key, node, draft.surface);
    faces_.push_back(std::move(draft));
  }

  std::vector<SurfaceDraft> faces() && { return std::move(faces_); }

 private:
  bool Find(TableReader& table, std::string_view key, const TomlNode& node, Surface& surface) {
    const size_t dot = node.text.find('.');
    const std::string name = node.text.substr(0, dot);
    for (size_t i = 0; i < stage_.objects.size(); ++i) {
      const StageObject& object = stage_.objects[i];
      if (object.name.value != name || name.empty()) continue;
      StageFace face{i, "", surface.name.place};
      if (dot != std::string::npos) {
        face.face = node.text.substr(dot + 1);
        if (face.face.empty()) {
          table.Refuse(key, node, "expected a face's name after the dot, such as \"carton.front\"");
          return false;
        }
      }
      surface.stage_face = std::move(face);
      if (object.materials.empty()) return false;  // its solid was refused
      // Which part a face lies on is known once the object is built; here the object has to offer a substrate at all.
      const auto printable = std::find_if(object.materials.begin(), object.materials.end(),
                                          [](const auto& of) { return of.substrate.has_value(); });
      if (printable == object.materials.end()) {
        table.Refuse(key, node,
                     fmt::format("expected an object of a substrate; \"{}\" is of {}", name,
                                 object.materials.front().glass ? "glass" : "metal"));
        return false;
      }
      surface.substrate = *printable->substrate;
      return true;
    }
    const bool all_named =
        std::none_of(stage_.objects.begin(), stage_.objects.end(),
                     [](const StageObject& object) { return object.name.value.empty(); });
    // Else the one that is meant may be that whose name was refused.
    if (all_named) table.Refuse(key, node, UnknownObject(name, stage_.objects));
    return false;
  }

  const Stage& stage_;
  std::vector<SurfaceDraft> faces_;
};

}  // namespace

std::vector<SurfaceDraft> ReadStageSurfaces(const Stage& stage, TableReader& root) {
  if (const TomlNode* written = root.Find("surface")) {
    root.mistakes().Add(*written, "surface",
                        "expected none beside a [stage]: its objects are its surfaces");
  }
  NamedFaces faces(stage);
  const TomlNode* placements = root.Find("placement");
  if (placements && placements->kind == TomlKind::kArray) {
    const size_t count = std::min(placements->items.size(), kMaxPlacements);
    for (const TomlNode& node : std::span(placements->items).first(count)) {
      if (node.kind != TomlKind::kTable) continue;
      TableReader table(node, "placement", root.mistakes());
      const TomlNode* name = table.Find("surface");
      if (!name) continue;
      // Of an array, which is refused, the first alone is looked at.
      const bool array = name->kind == TomlKind::kArray && !name->items.empty();
      faces.Add(table, "surface", array ? name->items.front() : *name);
    }
  }
  const TomlNode* frame = root.Find("frame");
  if (frame && frame->kind == TomlKind::kTable) {
    TableReader table(*frame, "frame", root.mistakes());
    if (const TomlNode* name = table.Find("surface")) faces.Add(table, "surface", *name);
  }
  return std::move(faces).faces();
}

}  // namespace wheatpaste
