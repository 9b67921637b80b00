// read_dieline.h - a dieline's SVG to lines, areas and names in mm.
//
// Lines   path, line, polyline, polygon, rect (its corners square) and circle, ellipse; curves as short straight pieces (svg_path.h). What of
//         them is a cut, a crease, a glue or bleed area says the nearest of the element and the groups around it that says it:
//           its class "cut", "crease", "glue", "bleed";
//           its layer: an id or a label (whatever its namespace) of that name;
//         or, for `cut` and `crease`, what the scene says instead: a class or layer of another name, or a stroke colour #rrggbb. All else is
//         artwork and passed over. data-angle (degrees) and data-order on a crease or a group around it.
// Names   texts in class or layer "panel" name the panel they stand in and tell which way it is upright; so does any element of that
//         class with a title or id, by the middle of its points. Other texts only where they are a name by their looks: letters, digits,
//         spaces, _ and -. Spaces become _.
// Units   width and height with viewBox: mm, cm, in, pt, pc, px at 96 to the inch; transforms of every kind.
// Safety  hostile until read: no network, no entity, no DOCTYPE that declares one; kMostDielineBytes before memory. `use` is refused.
// Source  SVG 1.1 (second edition): 7 coordinates, 8 paths, 9 basic shapes; CSS Values and Units 4, 6.2, for units.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "dieline/dieline.h"

namespace wheatpaste {

inline constexpr int64_t kMostDielineBytes = int64_t{16} << 20;

// How lines are told apart, where not as above.
struct DielineMarks {
  std::optional<Placed<std::string>> cut, crease;
};

// errors  no such file, no SVG, a size that is no length, paths that are none, nothing that is a cut; at the path's place.
Result<DielineDrawing> ReadDieline(const Placed<std::string>& path, const DielineMarks& marks);

// The same from memory; `path` serves for messages.
Result<DielineDrawing> ParseDieline(std::string_view text, const Placed<std::string>& path,
                                    const DielineMarks& marks);

}  // namespace wheatpaste
