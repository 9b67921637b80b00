// find_face.h - a face of a built object by the name that a scene gives it.
#pragma once

#include <string>

#include "base/error.h"
#include "geometry/solid.h"
#include "scene/stage.h"

namespace wheatpaste {

// named   what the scene calls it whole, such as "carton.front".
// face    what stands after the dot; "" where the object alone is named: its only face.
// errors  no such face; those that there are, and the nearest.
Result<const SolidFace*> FindFace(const StageObject& object, const Solid& solid,
                                  const Placed<std::string>& named, const std::string& face);

}  // namespace wheatpaste
