// finish.h - what is done to a print after printing: varnish, hot foil, emboss and deboss.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "colour/colour.h"
#include "colour/srgb.h"

namespace wheatpaste {

enum class FinishKind { kVarnish, kFoil, kEmboss, kDeboss };
// As files write it: "varnish", ...
const char* NameOf(FinishKind kind);

enum class Metal { kGold, kSilver, kCopper, kAluminium };
const char* NameOf(Metal metal);

struct Finish {
  std::string name;  // of the preset, or "inline"
  FinishKind kind = FinishKind::kVarnish;
  double gloss = 1;        // varnish: what it makes of the light that the print mirrors, a factor
  double roughness = 0.2;  // varnish and foil: alpha of ink/ggx.h
  Metal metal = Metal::kSilver;
  Reflectance lacquer{1, 1, 1};  // of a foil: the share of light that comes through it and back
  double depth_mm = 0.3;         // emboss and deboss: how far the middle is raised or sunk
  double edge_mm = 0.4;          // width of the slope around it, half inside and half outside
  // Where it lies: what a file paints black; or all that the artwork paints in one colour; or, where neither is
  // given, all that the artwork paints.
  std::optional<Placed<std::string>> mask;  // resolved path
  std::optional<Placed<Srgb8>> colour;
  Place place;

  bool has_relief() const { return kind == FinishKind::kEmboss || kind == FinishKind::kDeboss; }
  // Raised above 0, sunk below.
  double height_mm() const { return kind == FinishKind::kDeboss ? -depth_mm : depth_mm; }
};

}  // namespace wheatpaste
