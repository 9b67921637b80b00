// read_material.h - the tables that describe a substrate or an ink, in a scene as in shared/.
#pragma once

#include <optional>
#include <vector>

#include "scene/presets.h"
#include "scene/scene_paths.h"

namespace wheatpaste {

// What such tables are read against.
struct MaterialContext {
  const std::vector<Swatch>& swatches;  // colours by name
  const ScenePaths* paths =
      nullptr;  // where spectrum files are looked for; none: there are no such files here
};

// `lab`, of something that a material can be.
std::optional<Lab> ReadLab(TableReader& table);

// Exactly one of `reflectance` (three numbers above 0, at most 1), `lab` (D50), `colour` ("#rrggbb" or a swatch's name: paper as
// the screen shows it, white = 1) and `spectrum` (a CGATS file); `gloss` (0 to 1; left out: the photo tells) and
// `hiding` (0 to 1, as label stock).
void ReadSubstrateTable(TableReader& table, const MaterialContext& context, Substrate& substrate);

// Either `opacity` (0 to 1, the default, 1) or `hiding` (0 to 0.995); `white` (above 0, at most 1; with `hiding` 0.98; default 0.85);
// with `hiding`, at most one of `colour` and `lab`: an ink of one colour, by its look on white paper, and `tone` ("luminance" or "solid");
// and its finish.
void ReadInkTable(TableReader& table, const MaterialContext& context, Ink& ink);

// `texture` (0 to 1) and `gloss` (0 to 4); left out: as `ink` has them.
void ReadInkFinish(TableReader& table, Ink& ink);

// What a placement says of its ink: `ink`, and beside it `texture`, `gloss`, `white`, `underbase`, `stock`, `overlap`.
void ReadPlacementInk(TableReader& table, const Presets& presets, const MaterialContext& context,
                      Placement& placement);

}  // namespace wheatpaste
