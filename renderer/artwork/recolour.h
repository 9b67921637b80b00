// recolour.h - vector artwork in other colours, exactly: its text is rewritten before it is read.
//
// Model   every colour that the SVG states in fill, stroke, stop-color, flood-color, lighting-color or color
//         - as an attribute, in a style attribute or in a style sheet - is looked up by its 8-bit sRGB code
//         and replaced; alpha stays, and so does every other byte. A gradient goes from new colour
//         to new colour. What a shape or gradient stop gets where nothing is stated (black; white
//         for a light) is a colour like any other: the new one is then stated, with the weakest
//         precedence there is. currentColor follows color.
//         A PDF has become SVG by then, its colours rounded to 8 bits.
// Stays   colours inside masks, and of what only masks show: they mean coverage (svg_survey.h).
// Not     pictures inside the artwork, and filters that make colours of their own (feColorMatrix,
//         feComponentTransfer, feTurbulence); `notes` says so.
// Time    linear in the text.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "base/files.h"
#include "colour/srgb.h"

namespace wheatpaste {

struct Recolouring {
  std::map<Srgb8, Srgb8> exact;
  std::optional<Srgb8> others = std::nullopt;  // what every colour not named becomes; none: itself
  // False: colours of `exact` that the artwork lacks are passed over, and a bitmap stays as it is.
  bool required = true;

  bool empty() const { return exact.empty() && !others; }
  Srgb8 Of(const Srgb8& colour) const;
};

struct RecolouredSvg {
  Bytes svg;
  std::set<Srgb8> colours;  // that the artwork had; black where a shape may be left to it
  std::vector<std::string> notes;
};

// errors  colours written through entities, which are not followed, with their line; at `path`. A
//         lacking colour is none here.
Result<RecolouredSvg> RecolourSvg(std::string_view text, const Recolouring& recolouring,
                                  const Placed<std::string>& path);

// "#0f4a3f, #e3a02c and 3 more"; "none".
std::string ListOfColours(const std::set<Srgb8>& colours);

}  // namespace wheatpaste
