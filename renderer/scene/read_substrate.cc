#include "scene/read_substrate.h"

#include <fmt/format.h>

#include "scene/read_material.h"

namespace wheatpaste {
namespace {

// In place of a preset's name: reflectance is read from the photo.
constexpr char kFromPhoto[] = "photo";

}  // namespace

Placed<Substrate> ReadSubstrate(TableReader& table, const SceneContext& context,
                                SubstrateFrom from) {
  const bool photo = from == SubstrateFrom::kAnywhere;
  const TomlNode* node = table.Find("substrate");
  Placed<Substrate> substrate{*context.presets.FindSubstrate(kDefaultSubstrate),
                              table.mistakes().PlaceOf(node ? *node : table.table()),
                              table.KeyOf("substrate")};
  if (!node) return substrate;
  substrate.value.stated = true;
  if (node->kind == TomlKind::kTable) {
    substrate.value = {.name = "inline", .stated = true};
    TableReader inside(*node, substrate.key, table.mistakes());
    ReadSubstrateTable(inside, {context.swatches, &context.paths}, substrate.value);
    inside.RefuseUnknown();
  } else if (node->kind != TomlKind::kString) {
    table.Refuse(
        "substrate", *node,
        fmt::format("expected a preset's name{} {{ reflectance = [r, g, b], gloss = 0.0 }}",
                    photo ? ", \"photo\" or" : " or"));
  } else if (photo && node->text == kFromPhoto) {
    substrate.value = {.name = kFromPhoto, .stated = true, .from_photo = true, .known = false};
  } else if (const Substrate* preset =
                 FindPreset(table, "substrate", *node, context.presets.substrates,
                            photo ? ", or \"photo\" to read it from the photo" : "")) {
    substrate.value = *preset;
    substrate.value.stated = true;
  }
  return substrate;
}

void ReadSubstrate(TableReader& table, const SceneContext& context, Surface& surface) {
  const bool remove = table.Either("old_print", "keep", "remove").value_or(false);
  surface.old_print = remove ? OldPrint::kRemove : OldPrint::kKeep;
  surface.substrate = ReadSubstrate(table, context, SubstrateFrom::kAnywhere);
}

}  // namespace wheatpaste
