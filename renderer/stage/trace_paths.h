// trace_paths.h - the light of some samples of one pixel.
//
// Model   a path from the camera, one scattering after the other; at each a light is drawn, and what the path then meets of lights counts
//         too (light_set.h). After kSureBounces it ends by chance, weighted (russian roulette). No light is clamped.
//         A camera ray, and what goes on straight through glass, sees what is shown behind everything, not what lights the world.
// Split   world.h. The path after the first hit is the same whatever the albedo there.
// Soft    what a path meets after it was spread (scattered with a density below kSpreadDensity) counts as no smoother than kSoftAlpha:
//         a mirror's image of the sun on matt paper, which chance hardly finds, is wider and dimmer than it should be, and free of
//         sparks. All that the camera sees itself or in mirrors is left as it is; no energy is lost. TraceOptions::soft false: not so.
// Limits  light that reaches matt surfaces through plain glass is then that of rough glass; with `soft` false it is nearly all noise.
// Source  Kajiya 1986, SIGGRAPH 86; Pharr, Jakob, Humphreys 2023, Physically Based Rendering, 4th ed., 13-14; thin lens: 5.2.3. Soft: Kaplanyan,
//         Dachsbacher 2013, CGF 32(2), Path Space Regularization; as Pharr et al., 14.5.3 (numbers our own).
// Threads const objects; any thread.
#pragma once

#include <array>

#include "stage/light_set.h"
#include "stage/material_look.h"
#include "stage/trace_rays.h"
#include "stage/trace_world.h"
#include "stage/world.h"

namespace wheatpaste {

// Samples that are traced side by side: always kAtOnce k to kAtOnce (k + 1) - 1, so rays always go in the same groups.
inline constexpr int kAtOnce = 16;
inline constexpr int kSureBounces = 2;
inline constexpr float kSpreadDensity =
    1;  // per sr; diffuse 1 / pi at most, facets of alpha 0.2 about 2

struct PathSample {
  Eigen::Array3f albedo, lit;  // lit: E
  Eigen::Array3f mirrored;     // S
  Eigen::Vector3f normal;
  float depth = 0;
  Eigen::Array3f thrown = Eigen::Array3f::Zero();  // of `lit`, what came off that face
  int32_t thrower = -1;                            // none
};

class TracePaths {
 public:
  // options  prints, seed, most_bounces, soft.
  TracePaths(const World& world, const TraceOptions& options);

  // Samples kAtOnce `group` and on, of the pixel; before exposure. Returns how many rays it took.
  int Trace(int64_t x, int64_t y, int group, std::array<PathSample, kAtOnce>& samples) const;

 private:
  struct Path;
  TraceRay CameraRay(int64_t x, int64_t y, const Sampler& sampler) const;
  // Asks memory for what Step will read, of all that go on.
  void Fetch(std::array<Path, kAtOnce>& paths, const int* going, const TraceHit* hits, int count,
             int bounce) const;
  // Goes on from what the path's ray meets. Returns false where it ends. `toward`: a light that it asks for, unless far = 0.
  bool Step(Path& path, const TraceHit& hit, int bounce, TraceRay& toward) const;

  const World& world_;
  TraceRays rays_;
  LightSet lights_;
  MaterialLook look_;
  uint64_t seed_;
  int most_bounces_;
  bool soft_, prints_throw_;
  Eigen::Matrix3f world_from_camera_;
  Eigen::Vector3f camera_at_;
};

}  // namespace wheatpaste
