// The keys of a mesh: its file, its scale, and its pins or its pose.

#include "scene/read_rows.h"
#include "scene/read_shapes.h"

namespace wheatpaste {
namespace {

constexpr size_t kFewestPins = 4;
constexpr NumberRule kScaleRule{0, false, 1e6,
                                "how many mm one unit of the file is, above 0, at most 1000000"};

void ReadPins(TableReader& table, const TomlNode& node, MeshMarks& mesh) {
  mesh.pins_place = table.mistakes().PlaceOf(node);
  if (node.kind != TomlKind::kTable || node.entries.size() < kFewestPins ||
      node.entries.size() > kMaxMarks) {
    table.Refuse("pins", node,
                 fmt::format("expected a table [surface.pins] of {} to {} points, each such as "
                             "hem_left = [photo_x, photo_y, x, y, z]",
                             kFewestPins, kMaxMarks));
    return;
  }
  TableReader pins(node, table.KeyOf("pins"), table.mistakes());
  for (const TomlEntry& entry : node.entries) {
    std::array<double, 5> row;
    if (ReadRow(entry.value, PrintableText(entry.key, kMaxSceneNameBytes),
                "[photo_x, photo_y, x, y, z], the last three in units of the mesh's file",
                pins.SubjectOf(entry.key, entry.value), table.mistakes(), row)) {
      mesh.pins.push_back({entry.key,
                           {row[0], row[1]},
                           {row[2], row[3], row[4]},
                           table.mistakes().PlaceOf(entry.value)});
    }
  }
}

void ReadPose(TableReader& table, const TomlNode& node, MeshMarks& mesh) {
  constexpr char kExpected[] =
      "{ turn = [x, y, z], origin = [x, y, z] }: axis times angle in degrees, and where the "
      "mesh's origin lies, mm right, down and away from the camera";
  if (node.kind != TomlKind::kTable) {
    table.Refuse("pose", node, fmt::format("expected {}", kExpected));
    return;
  }
  TableReader pose(node, table.KeyOf("pose"), table.mistakes());
  pose.Require("turn", "[x, y, z] in degrees");
  pose.Require("origin", "[x, y, z] in mm");
  const auto turn = pose.Numbers("turn", 3, kCoordinateRule, "[x, y, z] in degrees");
  const auto origin = pose.Numbers("origin", 3, kCoordinateRule, "[x, y, z] in mm");
  pose.RefuseUnknown();
  if (!turn || !origin) return;
  mesh.pose = std::array<double, 6>{(*turn)[0],   (*turn)[1],   (*turn)[2],
                                    (*origin)[0], (*origin)[1], (*origin)[2]};
}

}  // namespace

void ReadMesh(TableReader& table, const ScenePaths& paths, SurfaceDraft& draft) {
  MeshMarks& mesh = draft.surface.mesh;
  ReadFlatSize(table, draft);
  draft.mm_known = true;
  table.Require("file", "the mesh's file, .obj");
  if (auto file = ReadFileName(table, "file", paths)) mesh.file = *std::move(file);
  mesh.mm_per_unit = table.Number("mm_per_unit", kScaleRule).value_or(1);
  const TomlNode* pins = table.Find("pins");
  const TomlNode* pose = table.Find("pose");
  if (pins && pose) {
    table.Refuse("pose", *pose, "expected pins or pose, not both");
  } else if (pose) {
    ReadPose(table, *pose, mesh);
  } else if (pins) {
    ReadPins(table, *pins, mesh);
  } else {
    table.Require(
        "pins",
        fmt::format("at least {} points that tie the mesh to the photo, or a pose", kFewestPins));
  }
}

}  // namespace wheatpaste
