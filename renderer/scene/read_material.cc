#include "scene/read_material.h"

#include <algorithm>

#include <fmt/format.h>

#include "colour/adapt.h"
#include "colour/spectrum_file.h"
#include "scene/read_colour.h"
#include "scene/scene_parts.h"

namespace wheatpaste {
namespace {

constexpr NumberRule kReflectanceRule{0, false, 1, "a reflectance above 0, at most 1"};
constexpr NumberRule kGlossRule{0, true, 1, "a gloss from 0 (matt) to 1 (mirror)"};
constexpr NumberRule kStockHidingRule{0, true, 1, "a share from 0 (clear) to 1 (hides all)"};
constexpr NumberRule kLabRule{-200, true, 200, "a Lab value from -200 to 200"};
// A band of a material that no display can show counts as this dark, as inks divide by it.
constexpr float kLeastBand = 2e-3f;

Reflectance ReflectanceOf(const SceneLinear& colour) {
  const auto band = [](float value) { return double{std::clamp(value, kLeastBand, 1.0f)}; };
  return {band(colour.r), band(colour.g), band(colour.b)};
}

void ReadSpectrum(TableReader& table, const MaterialContext& context, Substrate& substrate) {
  const TomlNode* node = table.Find("spectrum");
  if (!context.paths) {
    table.Refuse("spectrum", *node, "expected no file here; scenes may name one");
    return;
  }
  const auto path = ReadFileName(table, "spectrum", *context.paths);
  if (!path) return;
  const auto spectrum = ReadSpectrumFile(*path);
  if (spectrum) {
    substrate.spectrum = *spectrum;
    substrate.reflectance = ReflectanceOf(LinearFromSpectrum(*spectrum));
    return;
  }
  for (const Error& error : spectrum.errors()) {
    table.Refuse("spectrum", *node,
                 error.place.line > 0 ? fmt::format("line {}: {}", error.place.line, error.message)
                                      : error.message);
  }
}

// The keys of which a table states at most one; notes a second.
std::vector<std::string_view> Stated(TableReader& table, std::vector<std::string_view> keys) {
  std::erase_if(keys, [&table](std::string_view key) { return table.Find(key) == nullptr; });
  if (keys.size() > 1) {
    table.Refuse(keys[1], *table.Find(keys[1]),
                 fmt::format("expected {} or {}, not both", keys[0], keys[1]));
  }
  return keys;
}

}  // namespace

std::optional<Lab> ReadLab(TableReader& table) {
  const TomlNode* node = table.Find("lab");
  const auto numbers = table.Numbers("lab", 3, kLabRule, "[L*, a*, b*], D50, 2 degrees");
  if (!numbers) return std::nullopt;
  const Lab lab{(*numbers)[0], (*numbers)[1], (*numbers)[2]};
  if (lab.l <= 0 || lab.l > 100 || !IsPossibleMaterial(XyzFromLab(lab, kWhiteD50))) {
    table.Refuse("lab", *node,
                 "no material has this colour; expected L* above 0, at most 100, and a* and b* "
                 "that a surface of this lightness can have");
    return std::nullopt;
  }
  return lab;
}

void ReadSubstrateTable(TableReader& table, const MaterialContext& context, Substrate& substrate) {
  constexpr char kExpected[] = "[r, g, b], linear, each above 0 and at most 1";
  const auto stated = Stated(table, {"reflectance", "lab", "colour", "spectrum"});
  if (stated.empty()) {
    table.Require("reflectance", fmt::format("{}; or lab, colour or spectrum", kExpected));
  }
  for (const std::string_view key : stated) {
    if (key == "reflectance") {
      if (const auto bands = table.Numbers(key, 3, kReflectanceRule, kExpected)) {
        substrate.reflectance = {(*bands)[0], (*bands)[1], (*bands)[2]};
      }
    } else if (key == "lab") {
      if (const auto lab = ReadLab(table)) {
        substrate.reflectance = ReflectanceOf(LinearFromLabD50(*lab));
      }
    } else if (key == "colour") {
      if (const auto colour = ReadColour(table, key, context.swatches)) {
        substrate.reflectance = ReflectanceOf(LinearFromSrgb(*colour));
      }
    } else {
      ReadSpectrum(table, context, substrate);
    }
  }
  substrate.gloss = table.Number("gloss", kGlossRule);
  substrate.hiding = table.Number("hiding", kStockHidingRule).value_or(1.0);
}

}  // namespace wheatpaste
