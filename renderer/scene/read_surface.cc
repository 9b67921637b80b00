#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

// Shapes that the scene format has words for and this version does not place artwork on.
constexpr std::array<std::string_view, 5> kLaterShapes{"cylinder", "cone", "box", "patch", "mesh"};

// Finite numbers of one row, such as [x, y]; notes what is wrong at the row or the number.
// `label` names the row: "point 3".
template <size_t kCount>
bool ReadRow(const TomlNode& row, const std::string& label, const std::string& expected,
             const std::string& subject, Mistakes& mistakes, std::array<double, kCount>& numbers) {
  if (row.kind != TomlKind::kArray || row.items.size() != kCount) {
    mistakes.Add(row, subject, fmt::format("{}: expected {}", label, expected));
    return false;
  }
  bool good = true;
  for (size_t i = 0; i < kCount; ++i) {
    const std::string complaint = NumberComplaint(row.items[i], kCoordinateRule);
    if (!complaint.empty()) {
      mistakes.Add(row.items[i], subject, fmt::format("{}: {}", label, complaint));
      good = false;
    }
    numbers[i] = row.items[i].number;
  }
  return good;
}

// True where `shape` is "plane" or was meant to be, so that the other keys are those of a plane.
bool ReadShape(TableReader& table) {
  const TomlNode* node = table.Require("shape", "\"plane\"");
  if (!node) return true;
  if (node->kind != TomlKind::kString) {
    table.Refuse("shape", *node, fmt::format("expected \"plane\", not {}", NameOf(node->kind)));
    return true;
  }
  if (node->text == "plane") return true;
  if (std::find(kLaterShapes.begin(), kLaterShapes.end(), node->text) != kLaterShapes.end()) {
    table.Refuse("shape", *node, "expected \"plane\"; this version places artwork on planes only");
    return false;
  }
  table.Refuse("shape", *node, "expected \"plane\"");
  return !NearestName(node->text, {"plane"}).empty();
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

void ReadSize(TableReader& table, SurfaceDraft& draft) {
  const TomlNode* node = table.Find("size");
  if (!node) return;
  draft.size_written = true;
  draft.surface.size_place = table.mistakes().PlaceOf(*node);
  if (const auto size = table.Numbers("size", 2, kLengthRule, "[width, height] in mm")) {
    draft.surface.size = SurfaceMm{(*size)[0], (*size)[1]};
  }
}

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

void ReadMarks(TableReader& table, SurfaceDraft& draft) {
  const TomlNode* node = table.Find("marks");
  if (!node) return;
  draft.surface.marks_place = table.mistakes().PlaceOf(*node);
  if (!draft.size_written) {
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

void ReadInFront(TableReader& table, Surface& surface) {
  const TomlNode* node = table.Find("in_front");
  if (!node) return;
  if (node->kind != TomlKind::kArray || node->items.size() > kMaxOutlines) {
    table.Refuse("in_front", *node,
                 fmt::format("expected at most {} outlines, each [[x, y], [x, y], [x, y], ...]",
                             kMaxOutlines));
    return;
  }
  const std::string subject = table.SubjectOf("in_front", *node);
  for (size_t i = 0; i < node->items.size(); ++i) {
    const TomlNode& outline = node->items[i];
    const std::string label = fmt::format("outline {}", i + 1);
    if (outline.kind != TomlKind::kArray || outline.items.size() < 3 ||
        outline.items.size() > kMaxOutlinePoints) {
      table.mistakes().Add(
          outline, subject,
          fmt::format("{}: expected 3 to {} points [x, y] in photo px", label, kMaxOutlinePoints));
      continue;
    }
    Polygon polygon;
    for (size_t k = 0; k < outline.items.size(); ++k) {
      std::array<double, 2> xy;
      if (ReadRow(outline.items[k], fmt::format("{}, point {}", label, k + 1), "[x, y] in photo px",
                  subject, table.mistakes(), xy)) {
        polygon.push_back({xy[0], xy[1]});
      }
    }
    surface.in_front.push_back(std::move(polygon));
  }
}

void ReadSubstrate(TableReader& table, const Presets& presets, Surface& surface) {
  const TomlNode* node = table.Find("substrate");
  Placed<Substrate>& substrate = surface.substrate;
  substrate.key = table.KeyOf("substrate");
  substrate.value = *presets.FindSubstrate(kDefaultSubstrate);
  substrate.place = table.mistakes().PlaceOf(node ? *node : table.table());
  if (!node) return;
  substrate.value.stated = true;
  if (node->kind == TomlKind::kTable) {
    substrate.value = {.name = "inline", .stated = true};
    TableReader inside(*node, substrate.key, table.mistakes());
    ReadSubstrateNumbers(inside, substrate.value);
    inside.RefuseUnknown();
  } else if (node->kind != TomlKind::kString) {
    table.Refuse("substrate", *node,
                 "expected a preset's name or { reflectance = [r, g, b], gloss = 0.0 }");
  } else if (const Substrate* preset = presets.FindSubstrate(node->text)) {
    substrate.value = *preset;
    substrate.value.stated = true;
  } else {
    const std::string nearest = NearestName(node->text, presets.SubstrateNames());
    table.Refuse("substrate", *node,
                 fmt::format("unknown preset; {}there are {}",
                             nearest.empty() ? "" : fmt::format("did you mean \"{}\"? ", nearest),
                             QuotedList(presets.SubstrateNames(), kMaxListed)));
  }
}

void ReadRelief(TableReader& table) {
  const TomlNode* node = table.Find("relief");
  if (!node || (node->kind == TomlKind::kString && node->text == "none")) return;
  const bool later = node->kind == TomlKind::kString && node->text == "photo";
  table.Refuse("relief", *node,
               later ? "expected \"none\"; this version does not bend artwork along folds"
                     : "expected \"none\"");
}

}  // namespace

SurfaceDraft ReadSurface(const TomlNode& node, const SceneContext& context,
                         const std::vector<SurfaceDraft>& earlier, Mistakes& mistakes) {
  SurfaceDraft draft;
  TableReader table(node, "surface", mistakes);
  ReadName(table, earlier, draft.surface);
  draft.readable = ReadShape(table);
  if (!draft.readable) return draft;  // its other keys belong to a shape that is not known here
  ReadSize(table, draft);
  ReadCorners(table, draft.surface);
  ReadMarks(table, draft);
  ReadSubstrate(table, context.presets, draft.surface);
  ReadRelief(table);
  draft.surface.matte = ReadFileName(table, "matte", context.paths);
  ReadInFront(table, draft.surface);
  table.RefuseUnknown();
  return draft;
}

}  // namespace wheatpaste
