// The lights of a stage.
#include <algorithm>

#include "colour/srgb.h"
#include "scene/read_colour.h"
#include "scene/read_stage_parts.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kBandRule{0, true, 1e6, "light from 0 to 1000000"};
constexpr NumberRule kStrengthRule{0, true, 1e6, "a strength from 0 to 1000000"};
constexpr NumberRule kScaleRule{0, true, 1e6, "a factor from 0 to 1000000"};
constexpr NumberRule kBlurRule{0, true, 90, "an angle in degrees, from 0 to 90"};
constexpr NumberRule kKelvinRule{1000, true, 40000, "a colour temperature from 1000 to 40000 K"};
constexpr NumberRule kHeightRule{0, true, 90, "degrees above the horizon, from 0 to 90"};
constexpr NumberRule kSunSizeRule{0, false, 90, "a diameter above 0 degrees, at most 90"};

StageLightColour ReadLightColour(TableReader& table, const SceneContext& context) {
  StageLightColour light;
  light.kelvin = table.Number("kelvin", kKelvinRule);
  if (const auto colour = ReadLinear(table, "colour", context)) {
    light.colour = *colour;
    if (std::max({colour->r, colour->g, colour->b}) <= 0) {
      table.Refuse("colour", *table.Find("colour"), "expected a colour other than black");
    }
  }
  const TomlNode* colour = table.Find("colour");
  if (colour && table.Find("kelvin")) {
    table.Refuse("colour", *colour, "expected kelvin or colour, not both");
  }
  return light;
}

}  // namespace

std::optional<Reflectance> ReadLinear(TableReader& table, std::string_view key,
                                      const SceneContext& context) {
  constexpr char kExpected[] = "[r, g, b], linear, a swatch's name or #rrggbb";
  const TomlNode* node = table.Find(key);
  if (node && node->kind == TomlKind::kString) {
    const auto written = ReadColour(table, key, context.swatches);
    if (!written) return {};
    const SceneLinear linear = LinearFromSrgb(*written);
    return Reflectance{linear.r, linear.g, linear.b};
  }
  const auto bands = table.Numbers(key, 3, kBandRule, kExpected);
  if (!bands) return {};
  return Reflectance{(*bands)[0], (*bands)[1], (*bands)[2]};
}

StageLightMap ReadStageLightMap(const TomlNode& node, const SceneContext& context,
                                Mistakes& mistakes) {
  StageLightMap map;
  TableReader table(node, "stage.light_map", mistakes);
  table.Require("file", "an equirectangular picture, .hdr");
  if (auto file = ReadFileName(table, "file", context.paths)) map.file = *std::move(file);
  map.turn = table.Number("turn", kAngleRule).value_or(0);
  map.scale = table.Number("scale", kScaleRule).value_or(1);
  map.shown = table.Flag("shown").value_or(true);
  map.blur = table.Number("blur", kBlurRule).value_or(0);
  table.RefuseUnknown();
  return map;
}

StageSoftLight ReadStageSoftLight(const TomlNode& node, const SceneContext& context,
                                  const std::vector<StageObject>& objects, Mistakes& mistakes) {
  StageSoftLight light;
  light.place = mistakes.PlaceOf(node);
  TableReader table(node, "stage.soft_light", mistakes);
  table.Require("at", "[x, y, z] in mm, its middle");
  const auto at = ReadPoint(table, "at");
  if (at) light.at = *at;
  RequireAim(table, "aim", objects, light.aim, light.aim_object);
  const TomlNode* aim = table.Find("aim");
  if (at && aim && aim->kind == TomlKind::kArray && light.at == light.aim) {
    table.Refuse("aim", *aim, "expected another point than at");
  }
  table.Require("size", "[width, height] in mm");
  if (const auto size = table.Numbers("size", 2, kLengthRule, "[width, height] in mm")) {
    light.size = {(*size)[0], (*size)[1]};
  }
  light.strength = table.Number("strength", kStrengthRule).value_or(1);
  light.colour = ReadLightColour(table, context);
  light.shown = table.Flag("shown").value_or(false);
  table.RefuseUnknown();
  return light;
}

StageSun ReadStageSun(const TomlNode& node, const SceneContext& context, Mistakes& mistakes) {
  StageSun sun;
  TableReader table(node, "stage.sun", mistakes);
  sun.around = table.Number("around", kAngleRule).value_or(sun.around);
  sun.height = table.Number("height", kHeightRule).value_or(sun.height);
  sun.size = table.Number("size", kSunSizeRule).value_or(sun.size);
  sun.strength = table.Number("strength", kStrengthRule).value_or(sun.strength);
  sun.colour = ReadLightColour(table, context);
  table.RefuseUnknown();
  return sun;
}

}  // namespace wheatpaste
