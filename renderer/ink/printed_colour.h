// printed_colour.h - what one colour of the artwork is once it is printed.
#pragma once

#include "colour/colour.h"
#include "scene/scene.h"

namespace wheatpaste {

// artwork  its colour, linear, not premultiplied, opaque.
// returns  the reflectance of that place of the print, in the working primaries; may leave [0, 1] where no display
//          shows it. Expects a substrate that is known.
SceneLinear PrintedColour(const Ink& ink, const Substrate& substrate, const SceneLinear& artwork);

}  // namespace wheatpaste
