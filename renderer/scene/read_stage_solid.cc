// The solids of a stage, each with its own keys; those of the others are unknown to it.
#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/read_stage_parts.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kOffsetRule{0, true, 1e6, "a length in mm, from 0 to 1000000"};
constexpr NumberRule kThicknessRule{0, false, 100, "a thickness above 0 mm, at most 100 mm"};
constexpr NumberRule kShareRule{0, true, 1, "a number from 0 to 1"};
constexpr NumberRule kSeedRule{0, true, 1e9, "a whole number from 0 to 1000000000"};
constexpr NumberRule kFoldRule{0, true, 180, "degrees folded, from 0 to 180"};
constexpr NumberRule kScaleRule{0, false, 1e6,
                                "how many mm one unit of the file is, above 0, at most 1000000"};

const std::vector<std::string>& StyleNames() {
  static const std::vector<std::string> names(kCartonStyles.begin(), kCartonStyles.end());
  return names;
}
const std::vector<std::string>& HandleNames() {
  static const std::vector<std::string> names{"cord", "flat", "none"};
  return names;
}

// Smaller, and there is no room for seams and folds; larger, and cloth takes minutes to come to rest, paper all memory.
constexpr NumberRule kToteSideRule{50, true, 800, "a length from 50 to 800 mm"};
constexpr NumberRule kToteHandleRule{20, true, 1000, "a length from 20 to 1000 mm"};
constexpr NumberRule kBagSideRule{20, true, 1000, "a length from 20 to 1000 mm"};

// Where the key was written and is right.
void ReadInto(TableReader& table, std::string_view key, const NumberRule& rule, double& value) {
  if (const auto number = table.Number(key, rule)) value = *number;
}

void RequireLength(TableReader& table, const char* key, const char* what, double& value) {
  table.Require(key, fmt::format("{} in mm", what));
  ReadInto(table, key, kLengthRule, value);
}

template <size_t kCount>
void ReadSides(TableReader& table, const char* key, const char* what,
               std::array<double, kCount>& sides, const NumberRule& rule = kLengthRule) {
  const auto numbers = table.Numbers(key, kCount, rule, fmt::format("{} in mm", what));
  if (numbers) std::copy(numbers->begin(), numbers->end(), sides.begin());
}

template <size_t kCount>
void RequireSides(TableReader& table, const char* key, const char* what,
                  std::array<double, kCount>& sides) {
  table.Require(key, fmt::format("{} in mm", what));
  ReadSides(table, key, what, sides);
}

// Notes a length that is larger than others let it be.
void HoldTo(TableReader& table, const char* key, double value, double most, const char* of) {
  const TomlNode* node = table.Find(key);
  if (!node || !(most > 0) || value <= most) return;
  table.Refuse(key, *node, fmt::format("expected at most {:g} mm, {}", most, of));
}

void ReadSeed(TableReader& table, int& seed) {
  if (const auto whole = table.Whole("seed", kSeedRule)) seed = static_cast<int>(*whole);
}

StageSolid ReadSheet(TableReader& table) {
  SheetSolid sheet;
  RequireSides(table, "size", "[width, height]", sheet.size);
  ReadInto(table, "thickness", kThicknessRule, sheet.thickness);
  ReadInto(table, "curl", kOffsetRule, sheet.curl);
  HoldTo(table, "curl", sheet.curl, sheet.size[1] / 2, "half of the sheet's height");
  sheet.hole = table.Number("hole", kLengthRule);
  HoldTo(table, "hole", sheet.hole.value_or(0), std::min(sheet.size[0], sheet.size[1]) / 2,
         "half of the sheet's smaller side");
  return sheet;
}

StageSolid ReadWall(TableReader& table) {
  WallSolid wall;
  ReadSides(table, "size", "[width, height]", wall.size);
  return wall;
}

StageSolid ReadFloor(TableReader& table) {
  FloorSolid floor;
  ReadSides(table, "size", "[width, depth]", floor.size);
  return floor;
}

StageSolid ReadSweep(TableReader& table) {
  SweepSolid sweep;
  ReadSides(table, "size", "[width, height, depth]", sweep.size);
  ReadInto(table, "radius", kLengthRule, sweep.radius);
  const double most = std::min(sweep.size[1], sweep.size[2]);
  if (table.Find("radius")) {
    HoldTo(table, "radius", sweep.radius, most, "the smaller of height and depth");
  } else {
    sweep.radius = std::min(sweep.radius, most);
  }
  return sweep;
}

StageSolid ReadBlock(TableReader& table) {
  BlockSolid block;
  RequireSides(table, "size", "[width, height, depth]", block.size);
  ReadInto(table, "edge", kOffsetRule, block.edge);
  const double most = *std::min_element(block.size.begin(), block.size.end()) / 2;
  if (table.Find("edge")) {
    HoldTo(table, "edge", block.edge, most, "half of the smallest side");
  } else {
    block.edge = std::min(block.edge, most);
  }
  return block;
}

StageSolid ReadTube(TableReader& table) {
  TubeSolid tube;
  RequireLength(table, "diameter", "a length", tube.diameter);
  RequireLength(table, "height", "a length", tube.height);
  return tube;
}

StageSolid ReadCup(TableReader& table) {
  CupSolid cup;
  RequireLength(table, "diameter_top", "a length", cup.diameter_top);
  RequireLength(table, "diameter_bottom", "a length", cup.diameter_bottom);
  RequireLength(table, "height", "a length", cup.height);
  cup.lid = table.Flag("lid").value_or(false);
  return cup;
}

StageSolid ReadCan(TableReader& table) {
  CanSolid can;
  RequireLength(table, "diameter", "a length", can.diameter);
  RequireLength(table, "height", "a length", can.height);
  return can;
}

StageSolid ReadTote(TableReader& table) {
  ToteSolid tote;
  ReadSides(table, "size", "[width, height]", tote.size, kToteSideRule);
  ReadInto(table, "gusset", kOffsetRule, tote.gusset);
  HoldTo(table, "gusset", tote.gusset, std::min(tote.size[0], tote.size[1]),
         "the smaller side of the front");
  ReadInto(table, "handle", kToteHandleRule, tote.handle);
  ReadInto(table, "fill", kShareRule, tote.fill);
  tote.hangs = table.Flag("hangs").value_or(true);
  ReadSeed(table, tote.seed);
  return tote;
}

StageSolid ReadPaperBag(TableReader& table) {
  PaperBagSolid bag;
  ReadSides(table, "size", "[width, height, depth]", bag.size, kBagSideRule);
  if (const auto handles = table.Word("handles", HandleNames())) {
    bag.handles = HandleNames()[*handles];
  }
  ReadInto(table, "crease", kShareRule, bag.crease);
  ReadSeed(table, bag.seed);
  return bag;
}

std::optional<Placed<std::string>> ReadLineOf(TableReader& table, const char* key) {
  const TomlNode* node = table.Line(key, kMaxSceneNameBytes);
  if (!node) return {};
  return Placed<std::string>{node->text, table.mistakes().PlaceOf(*node), table.KeyOf(key)};
}

StageSolid ReadCarton(TableReader& table, const ScenePaths& paths) {
  CartonSolid carton;
  const TomlNode* dieline = table.Find("dieline");
  const TomlNode* style = table.Find("style");
  carton.dieline = ReadFileName(table, "dieline", paths);
  if (const auto index = table.Word("style", StyleNames())) carton.style = StyleNames()[*index];
  if (!dieline && !style) {
    table.Require("dieline", "a dieline's file, .svg, or a style");
  } else if (dieline && style) {
    table.Refuse("style", *style, "expected dieline or style, not both");
  }
  constexpr char kInner[] = "[length, breadth, height] within";
  if (style && !dieline) {
    RequireSides(table, "inner", kInner, carton.inner);
  } else {
    ReadSides(table, "inner", kInner, carton.inner);
    if (const TomlNode* inner = table.Find("inner"); inner && dieline) {
      table.Refuse("inner", *inner, "expected it beside style alone; a dieline has its own size");
    }
  }
  table.Require("board", "the board's thickness in mm");
  ReadInto(table, "board", kThicknessRule, carton.board);
  carton.cut = ReadLineOf(table, "cut");
  carton.crease = ReadLineOf(table, "crease");
  for (const char* key : {"cut", "crease"}) {
    const TomlNode* node = table.Find(key);
    if (node && !dieline) table.Refuse(key, *node, "expected dieline beside it");
  }
  ReadInto(table, "closed", kShareRule, carton.closed);
  carton.lid = table.Number("lid", kFoldRule);
  return carton;
}

StageSolid ReadObj(TableReader& table, const ScenePaths& paths) {
  MeshSolid mesh;
  table.Require("file", "the mesh's file, .obj");
  if (auto file = ReadFileName(table, "file", paths)) mesh.file = *std::move(file);
  ReadInto(table, "mm_per_unit", kScaleRule, mesh.mm_per_unit);
  return mesh;
}

struct SolidRow {
  const char* name;
  StageSolid (*read)(TableReader&);
  StageSolid (*read_file)(TableReader&, const ScenePaths&);
};
constexpr std::array<SolidRow, 12> kSolids{{{"sheet", ReadSheet, nullptr},
                                            {"wall", ReadWall, nullptr},
                                            {"floor", ReadFloor, nullptr},
                                            {"sweep", ReadSweep, nullptr},
                                            {"block", ReadBlock, nullptr},
                                            {"tube", ReadTube, nullptr},
                                            {"cup", ReadCup, nullptr},
                                            {"can", ReadCan, nullptr},
                                            {"tote bag", ReadTote, nullptr},
                                            {"paper bag", ReadPaperBag, nullptr},
                                            {"carton", nullptr, ReadCarton},
                                            {"mesh", nullptr, ReadObj}}};

}  // namespace

std::optional<StageSolid> ReadStageSolid(TableReader& table, const ScenePaths& paths) {
  std::vector<std::string> names;
  for (const SolidRow& row : kSolids) names.push_back(row.name);
  const std::string expected = "one of " + QuotedList(names);
  const TomlNode* node = table.Require("solid", expected);
  if (!node) return {};
  std::string name = node->kind == TomlKind::kString ? node->text : "";
  auto row = std::find_if(kSolids.begin(), kSolids.end(),
                          [&](const SolidRow& each) { return each.name == name; });
  if (row == kSolids.end()) {
    // Its other keys are read as those of the solid that is meant.
    name = NearestName(name, names);
    table.Refuse("solid", *node,
                 fmt::format("expected {}{}", expected,
                             name.empty() ? "" : fmt::format("; did you mean \"{}\"?", name)));
    row = std::find_if(kSolids.begin(), kSolids.end(),
                       [&](const SolidRow& each) { return each.name == name; });
    if (row == kSolids.end()) return {};
  }
  return row->read ? row->read(table) : row->read_file(table, paths);
}

}  // namespace wheatpaste
