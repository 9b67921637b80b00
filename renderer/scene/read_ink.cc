#include <fmt/format.h>

#include "colour/adapt.h"
#include "scene/nearest_name.h"
#include "scene/read_colour.h"
#include "scene/read_material.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kOpacityRule{0, true, 1, "an opacity from 0 to 1"};
constexpr NumberRule kHidingRule{0, true, 0.995, "a contrast ratio from 0 (clear) to 0.995"};
constexpr NumberRule kWhiteRule{0, false, 1, "a reflectance above 0, at most 1"};
constexpr NumberRule kFilmWhiteRule{0, false, 0.98, "a reflectance above 0, at most 0.98"};
constexpr NumberRule kTextureRule{0, true, 1, "a share of the substrate's texture, from 0 to 1"};
constexpr NumberRule kInkGlossRule{
    0, true, 4, "a factor from 0 (matt) over 1 (as the substrate) to 4 on mirrored light"};
constexpr NumberRule kFinestRule{0, false, 1000, "a length above 0 mm, at most 1000 mm"};
// Nothing is printed; the artwork only says where finishes lie.
constexpr char kNoInk[] = "none";
constexpr char kWhiteInk[] =
    "white ink";  // the preset that `white = "ink"` puts under filtering inks

// An ink by name or as a table; none where it is neither.
std::optional<Ink> ReadNamedInk(TableReader& table, const char* key, const Presets& presets,
                                const MaterialContext& context) {
  const TomlNode* node = table.Find(key);
  if (node->kind == TomlKind::kTable) {
    Ink ink{.name = "inline"};
    TableReader inside(*node, table.KeyOf(key), table.mistakes());
    ReadInkTable(inside, context, ink);
    inside.RefuseUnknown();
    return ink;
  }
  if (node->kind != TomlKind::kString) {
    table.Refuse(key, *node, "expected a preset's name or { opacity = 1, white = 0.85 }");
    return std::nullopt;
  }
  const Ink* preset = FindPreset(table, key, *node, presets.inks);
  return preset ? std::optional(*preset) : std::nullopt;
}

// An ink that is printed solid under others.
void ReadUnderbase(TableReader& table, const Presets& presets, const MaterialContext& context,
                   Ink& ink) {
  if (!table.Find("underbase")) return;
  auto base = ReadNamedInk(table, "underbase", presets, context);
  if (base) ink.underbase = std::make_shared<const Ink>(*std::move(base));
}

void ReadStock(TableReader& table, const Presets& presets, const MaterialContext& context,
               Ink& ink) {
  const TomlNode* node = table.Find("stock");
  if (!node) return;
  Substrate stock{.name = "inline", .stated = true};
  if (node->kind == TomlKind::kTable) {
    TableReader inside(*node, table.KeyOf("stock"), table.mistakes());
    ReadSubstrateTable(inside, context, stock);
    inside.RefuseUnknown();
  } else if (node->kind != TomlKind::kString) {
    table.Refuse("stock", *node, "expected a substrate's name or { reflectance = [r, g, b] }");
    return;
  } else if (const Substrate* preset = FindPreset(table, "stock", *node, presets.substrates)) {
    stock = *preset;
  } else {
    return;
  }
  ink.stock = std::make_shared<const Substrate>(std::move(stock));
}

}  // namespace

void ReadInkTable(TableReader& table, const MaterialContext& context, Ink& ink) {
  const TomlNode* hiding = table.Find("hiding");
  const auto opacity = table.Number("opacity", kOpacityRule);
  if (hiding) {
    ink.hiding = table.Number("hiding", kHidingRule).value_or(0.0);
    if (table.Find("opacity")) {
      table.Refuse("hiding", *hiding, "expected opacity or hiding, not both");
    }
  } else {
    ink.opacity = opacity.value_or(1.0);
  }
  ink.white = table.Number("white", hiding ? kFilmWhiteRule : kWhiteRule).value_or(0.85);
  const TomlNode *colour = table.Find("colour"), *lab = table.Find("lab");
  if (const TomlNode* one = colour ? colour : lab) {
    const char* key = colour ? "colour" : "lab";
    if (!hiding) table.Refuse(key, *one, "expected hiding beside it, such as hiding = 0");
    if (colour && lab) table.Refuse("lab", *lab, "expected colour or lab, not both");
    if (colour) {
      if (const auto look = ReadColour(table, key, context.swatches)) {
        ink.colour = LinearFromSrgb(*look);
      }
    } else if (const auto look = ReadLab(table)) {
      // As measured on paper: relative to it, paper is 1.
      const SceneLinear seen = LinearFromLabD50(*look);
      const float paper = static_cast<float>(kReferencePaper);
      ink.colour = SceneLinear{seen.r / paper, seen.g / paper, seen.b / paper};
    }
  }
  const TomlNode* tone = table.Find("tone");
  ink.solid = table.Either("tone", "luminance", "solid").value_or(false);
  if (tone && !colour && !lab) {
    table.Refuse("tone", *tone, "expected colour or lab beside it: an ink of one colour");
  }
  if (const auto finest = table.Numbers("finest", 3, kFinestRule, "[line, gap, letter], mm")) {
    ink.finest = {(*finest)[0], (*finest)[1], (*finest)[2]};
  }
  ReadInkFinish(table, ink);
}

void ReadInkFinish(TableReader& table, Ink& ink) {
  if (const auto texture = table.Number("texture", kTextureRule)) ink.texture = *texture;
  if (const auto gloss = table.Number("gloss", kInkGlossRule)) ink.gloss = *gloss;
}

void ReadPlacementInk(TableReader& table, const Presets& presets, const MaterialContext& context,
                      Placement& placement) {
  const TomlNode* node = table.Find("ink");
  Placed<Ink>& placed = placement.ink;
  placed = {*presets.FindInk(kDefaultInk), table.mistakes().PlaceOf(node ? *node : table.table()),
            table.KeyOf("ink")};
  if (node && node->kind == TomlKind::kString && node->text == kNoInk) {
    // Keys about ink beside it are unknown, then.
    placement.printed = false;
    placed.value.name = kNoInk;
    return;
  }
  if (node) {
    if (auto ink = ReadNamedInk(table, "ink", presets, context)) placed.value = *std::move(ink);
  }
  Ink& ink = placed.value;
  ReadInkFinish(table, ink);
  ReadUnderbase(table, presets, context, ink);
  ReadStock(table, presets, context, ink);
  if (const auto knock_out = table.Either("overlap", "overprint", "knock_out")) {
    ink.meeting = *knock_out ? Meeting::kKnockOut : Meeting::kOverprint;
  }
  if (const auto is_ink = table.Either("white", "paper", "ink")) {
    const TomlNode* white = table.Find("white");
    if (ink.colour && *is_ink) {
      table.Refuse("white", *white, "expected \"paper\": an ink of one colour has no white");
    }
    // Filtering inks cannot be white: white ink lies under them.
    if (*is_ink && !ink.underbase && ink.opacity == 0 && ink.hiding.value_or(0) == 0) {
      ink.underbase = std::make_shared<const Ink>(*presets.FindInk(kWhiteInk));
    }
    ink.white_is = *is_ink ? White::kInk : White::kPaper;
  }
}

const char* NameOf(White white) { return white == White::kPaper ? "paper" : "ink"; }

}  // namespace wheatpaste
