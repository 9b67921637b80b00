#include <algorithm>
#include <array>
#include <span>

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/read_finish.h"
#include "scene/read_material.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr std::array<std::string_view, 8> kArtworkEndings{"svg",  "pdf", "png",  "jpg",
                                                          "jpeg", "tif", "tiff", "webp"};
constexpr NumberRule kTurnRule{-36000, true, 36000, "an angle in degrees, from -36000 to 36000"};

constexpr NumberRule kThicknessRule{0, true, 20, "a thickness in mm, from 0 to 20"};
constexpr NumberRule kClearSpaceRule{0, true, 10, "a share of the mark's height, from 0 to 10"};
constexpr NumberRule kClearSpaceMmRule{0, true, 1e6, "a length in mm, from 0 to 1000000"};
constexpr NumberRule kWrinkleRule{0, true, 1, "a number from 0 to 1"};

// One name of a surface, or of a face of a box ("carton.front").
struct NamedFace {
  size_t surface = 0;
  int face = -1;  // of a box, index into kBoxFaceNames
};

std::vector<std::string> FaceNames(const std::string& box) {
  std::vector<std::string> names;
  for (const char* face : kBoxFaceNames) names.push_back(box + "." + face);
  return names;
}

// What `text` names; notes at `node` where it is nothing that artwork can be placed on.
std::optional<NamedFace> FindFace(TableReader& table, const TomlNode& node,
                                  const std::vector<SurfaceDraft>& surfaces) {
  const std::string& text = node.text;
  std::vector<std::string> names;
  bool all_named = true;
  for (size_t i = 0; i < surfaces.size(); ++i) {
    const Surface& surface = surfaces[i].surface;
    const std::string& name = surface.name.value;
    all_named = all_named && !name.empty();
    if (name.empty()) continue;
    if (!surfaces[i].readable) {
      // "carton.front" on a carton of a shape that was refused already.
      if (name == text || text.starts_with(name + ".")) return std::nullopt;
      continue;
    }
    if (surface.shape != Shape::kBox) {
      if (name == text) return NamedFace{i, -1};
      names.push_back(name);
      continue;
    }
    const std::vector<std::string> faces = FaceNames(name);
    for (size_t face = 0; face < faces.size(); ++face) {
      if (faces[face] == text) return NamedFace{i, static_cast<int>(face)};
    }
    if (name == text) {
      table.Refuse("surface", node,
                   fmt::format("expected a face of the box; there are {}", QuotedList(faces)));
      return std::nullopt;
    }
    names.insert(names.end(), faces.begin(), faces.end());
  }
  // Where a surface lacks its name, that was noted, and this may be the one that is meant.
  if (!all_named) return std::nullopt;
  const std::string nearest = NearestName(text, names);
  std::string hint = "there are no surfaces";
  if (!nearest.empty()) {
    hint = fmt::format("did you mean \"{}\"?", nearest);
  } else if (!names.empty()) {
    hint = fmt::format("there {} {}", names.size() == 1 ? "is" : "are", QuotedList(names));
  }
  table.Refuse("surface", node, "no surface has this name; " + hint);
  return std::nullopt;
}

// Faces without a common edge; the order is that of kBoxFaceNames.
bool AreOpposite(int a, int b) {
  const auto pair = [](int face) { return face < 4 ? face % 2 : 2; };
  return pair(a) == pair(b);
}

// The faces of a box that lie side by side, as named.
bool ReadFaces(TableReader& table, const TomlNode& node, const std::vector<SurfaceDraft>& surfaces,
               Placement& placement) {
  constexpr char kExpected[] =
      "a surface's name, or names of a box's faces that join edge to edge, such as "
      "[\"carton.front\", \"carton.right\"]";
  std::optional<size_t> box;
  for (const TomlNode& item : node.items) {
    if (item.kind != TomlKind::kString) {
      table.Refuse("surface", item, fmt::format("expected {}", kExpected));
      return false;
    }
    const auto found = FindFace(table, item, surfaces);
    if (!found) return false;
    if (found->face < 0 || (box && *box != found->surface)) {
      table.Refuse("surface", item, fmt::format("expected {}", kExpected));
      return false;
    }
    box = found->surface;
    placement.faces.push_back(found->face);
  }
  if (!box) {
    table.Refuse("surface", node, fmt::format("expected {}", kExpected));
    return false;
  }
  placement.surface = *box;
  for (size_t i = 0; i < placement.faces.size(); ++i) {
    const int face = placement.faces[i];
    const auto before = std::span(placement.faces).first(i);
    if (std::find(before.begin(), before.end(), face) != before.end()) {
      table.Refuse("surface", node.items[i], "expected each face once");
      return false;
    }
    const auto joins = [&](int other) { return !AreOpposite(face, other); };
    if (i > 0 && std::none_of(before.begin(), before.end(), joins)) {
      table.Refuse("surface", node.items[i],
                   "expected a face that shares an edge with one named before it");
      return false;
    }
  }
  return true;
}

// The surface that the placement names; null where there is none or it was noted before.
const SurfaceDraft* ReadSurfaceName(TableReader& table, const std::vector<SurfaceDraft>& surfaces,
                                    Placement& placement) {
  const TomlNode* written = table.Require("surface", "the name of a surface");
  if (!written) return nullptr;
  if (written->kind == TomlKind::kArray) {
    if (!ReadFaces(table, *written, surfaces, placement)) return nullptr;
    return &surfaces[placement.surface];
  }
  const TomlNode* node = table.Line("surface", kMaxSceneNameBytes);
  if (!node) return nullptr;
  const auto found = FindFace(table, *node, surfaces);
  if (!found) return nullptr;
  placement.surface = found->surface;
  if (found->face >= 0) placement.faces = {found->face};
  return &surfaces[found->surface];
}

void ReadArtwork(TableReader& table, const ScenePaths& paths, Placement& placement) {
  table.Require("artwork", "a slot's name, or a file");
  const TomlNode* node = table.Line("artwork", kMaxPathBytes);
  if (!node) return;
  placement.artwork = {node->text, table.mistakes().PlaceOf(*node), table.KeyOf("artwork")};
  const std::string ending = EndingOf(node->text);
  if (std::find(kArtworkEndings.begin(), kArtworkEndings.end(), ending) != kArtworkEndings.end()) {
    if (const auto file = ReadFileName(table, "artwork", paths)) {
      placement.artwork_path = file->value;
    }
  } else if (!IsSlotName(node->text)) {
    table.Refuse(
        "artwork", *node,
        fmt::format("expected a slot's name, of letters, digits, - and _, or a file ending "
                    "in {}",
                    fmt::join(kArtworkEndings, ", ")));
  }
}

// Width, height, fit and at. Lengths have a meaning only on a surface whose size is written.
void ReadExtent(TableReader& table, const SurfaceDraft* draft, Placement& placement) {
  placement.width_mm = table.Number("width", kLengthRule);
  placement.height_mm = table.Number("height", kLengthRule);
  if (const auto at = table.Numbers("at", 2, kCoordinateRule, "[x, y] in mm from the top left")) {
    placement.at = SurfaceMm{(*at)[0], (*at)[1]};
  }
  const TomlNode* width = table.Find("width");
  const TomlNode* height = table.Find("height");
  const TomlNode* fit = table.Find("fit");
  if (width && height) {
    table.Refuse("height", *height,
                 "expected width or height, not both; the other follows from the artwork's shape");
  }
  if (fit) {
    if (fit->kind == TomlKind::kString && fit->text == "contain") {
      placement.fit = Fit::kContain;
    } else if (fit->kind == TomlKind::kString && fit->text == "cover") {
      placement.fit = Fit::kCover;
    } else if (fit->kind == TomlKind::kString && fit->text == "stretch") {
      placement.fit = Fit::kStretch;
    } else {
      table.Refuse("fit", *fit, "expected \"contain\", \"cover\" or \"stretch\"");
    }
    if (width || height) {
      table.Refuse("fit", *fit,
                   fmt::format("expected fit or {}, not both", width ? "width" : "height"));
    }
  }
  if (!draft || draft->mm_known) return;
  for (const char* key : {"width", "height", "at"}) {
    if (const TomlNode* node = table.Find(key)) {
      table.Refuse(key, *node,
                   fmt::format("expected no length in mm, as surface \"{}\" has no size; write its "
                               "size, or use fit",
                               PrintableText(draft->surface.name.value)));
    }
  }
}

// The sheet that the print is on. Its wrinkles have sizes in mm too.
void ReadSheet(TableReader& table, const SurfaceDraft* draft, Placement& placement) {
  placement.thickness_mm = table.Number("thickness", kThicknessRule).value_or(0.0);
  placement.wrinkle = table.Number("wrinkle", kWrinkleRule).value_or(0.0);
  if (!draft || draft->mm_known) return;
  for (const char* key : {"thickness", "wrinkle"}) {
    if (const TomlNode* node = table.Find(key)) {
      table.Refuse(key, *node,
                   fmt::format("expected no {}, as surface \"{}\" has no size; write its size", key,
                               PrintableText(draft->surface.name.value)));
    }
  }
}

// The room around a mark. As a share it is checked only where the surface has a size.
void ReadClearSpace(TableReader& table, const SurfaceDraft* draft, Placement& placement) {
  placement.clear_space = table.Number("clear_space", kClearSpaceRule);
  placement.clear_space_mm = table.Number("clear_space_mm", kClearSpaceMmRule);
  const TomlNode* mm = table.Find("clear_space_mm");
  if (!mm) return;
  if (table.Find("clear_space")) {
    table.Refuse("clear_space_mm", *mm, "expected clear_space or clear_space_mm, not both");
  } else if (draft && !draft->mm_known) {
    table.Refuse("clear_space_mm", *mm,
                 fmt::format("expected no length in mm, as surface \"{}\" has no size; write its "
                             "size",
                             PrintableText(draft->surface.name.value)));
  }
}

}  // namespace

bool IsSlotName(const std::string& text) {
  return std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_';
  });
}

Placement ReadPlacement(const TomlNode& node, const SceneContext& context,
                        const std::vector<SurfaceDraft>& surfaces, Mistakes& mistakes) {
  Placement placement;
  placement.place = mistakes.PlaceOf(node);
  TableReader table(node, "placement", mistakes);
  const SurfaceDraft* draft = ReadSurfaceName(table, surfaces, placement);
  ReadArtwork(table, context.paths, placement);
  ReadExtent(table, draft, placement);
  placement.rotate_degrees = table.Number("rotate", kTurnRule).value_or(0.0);
  ReadPlacementInk(table, context.presets, {context.swatches, &context.paths}, placement);
  ReadSheet(table, draft, placement);
  ReadClearSpace(table, draft, placement);
  placement.finishes = ReadFinishes(table, context, draft);
  if (!placement.printed && !table.Find("finish")) {
    table.Refuse("ink", *table.Find("ink"),
                 "expected a [[placement.finish]] with it, as nothing is printed");
  }
  table.RefuseUnknown();
  return placement;
}

}  // namespace wheatpaste
