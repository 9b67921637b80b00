// write_dieline.h - a blank as an SVG to design on, which read_dieline.h reads again.
//
// Form    page in mm, a unit a mm. Groups "bleed", "glue", "crease", "cut", "panel", each a class and an id, lowest first, so that an
//         illustration program shows them as layers; under them an empty one, "artwork". Creases carry data-angle and data-order.
//         Names of panels are texts, upright as print on them has to be.
#pragma once

#include <string>

#include "dieline/dieline.h"

namespace wheatpaste {

std::string DielineSvg(const DielineDrawing& drawing, const std::string& title,
                       const std::string& description);

}  // namespace wheatpaste
