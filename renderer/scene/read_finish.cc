#include "scene/read_finish.h"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>

#include "base/files.h"
#include "scene/nearest_name.h"
#include "scene/read_colour.h"

namespace wheatpaste {
namespace {

constexpr std::array<const char*, 4> kKindNames{"varnish", "foil", "emboss", "deboss"};
constexpr std::array<const char*, 4> kMetalNames{"gold", "silver", "copper", "aluminium"};

constexpr NumberRule kGlossRule{
    0, true, 8, "a factor from 0 (matt) over 1 (as the bare print) to 8 on mirrored light"};
constexpr NumberRule kRoughnessRule{0.02, true, 1, "a roughness from 0.02 (mirror) to 1"};
constexpr NumberRule kLacquerRule{0, true, 1, "a share of light from 0 to 1"};
constexpr NumberRule kDepthRule{0, false, 5, "a depth above 0 mm, at most 5 mm"};
constexpr NumberRule kEdgeRule{0, false, 10, "a width above 0 mm, at most 10 mm"};

// Index of the word under `key`, which has to be there.
std::optional<size_t> RequireWord(TableReader& table, const char* key,
                                  const std::vector<std::string>& words) {
  table.Require(key, "one of " + QuotedList(words));
  return table.Word(key, words);
}

void ReadDepths(TableReader& table, Finish& finish) {
  if (const auto depth = table.Number("depth", kDepthRule)) finish.depth_mm = *depth;
  if (const auto edge = table.Number("edge", kEdgeRule)) finish.edge_mm = *edge;
}

// The preset or inline table under `finish`; false where there is none to go on with.
bool ReadKind(TableReader& table, const Presets& presets, Finish& finish) {
  const TomlNode* node = table.Require("finish", "a preset's name, such as \"gold foil\"");
  if (!node) return false;
  if (node->kind == TomlKind::kTable) {
    finish.name = "inline";
    TableReader inside(*node, table.KeyOf("finish"), table.mistakes());
    ReadFinishNumbers(inside, finish);
    inside.RefuseUnknown();
    return true;
  }
  if (node->kind != TomlKind::kString) {
    table.Refuse("finish", *node,
                 "expected a preset's name or { kind = \"foil\", metal = \"gold\" }");
    return false;
  }
  const Finish* preset = FindPreset(table, "finish", *node, presets.finishes);
  if (preset) finish = *preset;
  return preset != nullptr;
}

Finish ReadFinish(const TomlNode& node, const SceneContext& context, const SurfaceDraft* draft,
                  Mistakes& mistakes) {
  Finish finish;
  TableReader table(node, "placement.finish", mistakes);
  const bool known = ReadKind(table, context.presets, finish);
  finish.place = mistakes.PlaceOf(node);
  if (auto mask = ReadFileName(table, "mask", context.paths)) finish.mask = *std::move(mask);
  const auto colour = ReadColour(table, "colour", context.swatches);
  const TomlNode* written = table.Find("colour");
  if (colour) {
    finish.colour = {*colour, mistakes.PlaceOf(*written), table.KeyOf("colour")};
  }
  if (written && table.Find("mask")) {
    table.Refuse("colour", *written, "expected mask or colour, not both");
  }
  ReadDepths(table, finish);
  if (known && !finish.has_relief()) {
    for (const char* key : {"depth", "edge"}) {
      if (const TomlNode* number = table.Find(key)) {
        table.Refuse(
            key, *number,
            fmt::format("expected no {}, as {} is flat; only emboss and deboss have one", key,
                        finish.name == "inline" ? std::string("a ") + NameOf(finish.kind)
                                                : fmt::format("\"{}\"", finish.name)));
      }
    }
  }
  if (known && finish.has_relief() && draft && !draft->mm_known) {
    table.Refuse("finish", *table.Find("finish"),
                 fmt::format("expected no {}, as surface \"{}\" has no size; write its size",
                             NameOf(finish.kind), PrintableText(draft->surface.name.value)));
  }
  table.RefuseUnknown();
  return finish;
}

}  // namespace

const char* NameOf(FinishKind kind) { return kKindNames[static_cast<size_t>(kind)]; }

const char* NameOf(Metal metal) { return kMetalNames[static_cast<size_t>(metal)]; }

std::vector<std::string> MetalNames() { return {kMetalNames.begin(), kMetalNames.end()}; }

void ReadFinishNumbers(TableReader& table, Finish& finish) {
  const auto kind = RequireWord(table, "kind", {kKindNames.begin(), kKindNames.end()});
  if (kind) finish.kind = static_cast<FinishKind>(*kind);
  // Without a kind no key is unknown for it.
  const bool any = !kind;
  const bool varnish = finish.kind == FinishKind::kVarnish, foil = finish.kind == FinishKind::kFoil;
  if (any || varnish) {
    if (const auto gloss = table.Number("gloss", kGlossRule)) finish.gloss = *gloss;
  }
  if (any || varnish || foil) {
    if (const auto roughness = table.Number("roughness", kRoughnessRule)) {
      finish.roughness = *roughness;
    }
  }
  if (any) table.Find("metal");
  if (kind && foil) {
    if (const auto metal = RequireWord(table, "metal", MetalNames())) {
      finish.metal = static_cast<Metal>(*metal);
    }
  }
  if (any || foil) {
    if (const auto bands =
            table.Numbers("lacquer", 3, kLacquerRule, "[r, g, b], linear, each 0 to 1")) {
      finish.lacquer = {(*bands)[0], (*bands)[1], (*bands)[2]};
    }
  }
  if (any || finish.has_relief()) ReadDepths(table, finish);
}

std::vector<Finish> ReadFinishes(TableReader& placement, const SceneContext& context,
                                 const SurfaceDraft* draft) {
  std::vector<Finish> finishes;
  for (const TomlNode* node : ReadTables(placement, "finish")) {
    if (finishes.size() == kMaxFinishes) {
      placement.mistakes().Add(*node, placement.KeyOf("finish"),
                               fmt::format("expected at most {} of them", kMaxFinishes));
      break;
    }
    finishes.push_back(ReadFinish(*node, context, draft, placement.mistakes()));
  }
  return finishes;
}

}  // namespace wheatpaste
