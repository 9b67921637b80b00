// trace_world.h - light carried through a world by paths from the camera.
//
// Sums    of a pixel's samples, in their order; a sample is a function of (seed, pixel, its number) alone, so the same bits for any
//         thread count and for any stop between: continuing sums of n samples to m equals m samples at once.
// Filter  a sample belongs to the pixel that it falls in (box), as coverage does elsewhere in the program.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "base/rect.h"
#include "image/image.h"
#include "stage/world.h"

namespace wheatpaste {

// Sums over samples; see Split in world.h. `diffuse` is A E summed, so E = diffuse / albedo.
// Of the diffuse light, what came off a face of the world's throwers before it reached the point that is seen: camera, point, face
// (diffuse there), and on. It is linear in that face's albedo.
struct ThrownSums {
  Image<SceneLinear> light, squared;
};

struct TraceSums {
  int samples = 0;
  int64_t rays = 0;  // that were asked for, those towards lights among them
  Image<SceneLinear> diffuse, mirrored, albedo;
  Image<SceneLinear> diffuse_squared, mirrored_squared;  // sums of squares, for variance
  Image<SceneLinear> normal;                             // world axes, of first hits; 0 beside
  Image<Coverage> depth, depth_squared;                  // mm along the view; 0 beside
  std::vector<ThrownSums> thrown;                        // of each thrower
};

struct TraceOptions {
  int samples = 128;  // to be reached
  uint64_t seed = 1;
  int most_bounces = 12;
  RectPx region;  // of the picture; empty: all of it
  // A print colours the light that it returns to other things, and to itself; false: they get the blank's.
  bool prints_throw = true;
  bool soft =
      true;  // mirrors' light on matt things is softened (trace_paths.h); false: no bias, sparks
  // Called between passes with the sums so far; false: stop there. Never called from several threads.
  std::function<bool(const TraceSums& sums)> progress;
};

// Of no samples: all 0.
TraceSums EmptySums(SizePx size, int32_t throwers);

// sums  from before, of the same world, seed and size; or empty.
TraceSums TraceWorld(const World& world, const TraceOptions& options, TraceSums sums = {});

}  // namespace wheatpaste
