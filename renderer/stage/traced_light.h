// traced_light.h - means of a trace's samples: what a photograph is developed from.
#pragma once

#include "stage/trace_world.h"

namespace wheatpaste {

struct TracedLight {
  Image<SceneLinear> diffuse;   // A E
  Image<SceneLinear> mirrored;  // S
  Image<SceneLinear> albedo;    // A
};

// sums  of at least one sample.
TracedLight Averages(const TraceSums& sums);

}  // namespace wheatpaste
