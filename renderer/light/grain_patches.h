// grain_patches.h - what small patches of a picture hold beside a plane: noise and texture.
//
// Model   grain.h, "Measure". Threads: the same patches for any thread count.
#pragma once

#include <array>
#include <vector>

#include "light/grain.h"

namespace wheatpaste {

inline constexpr int kPatchSide = 8;  // px
inline constexpr int kPatchPx = kPatchSide * kPatchSide;
inline constexpr double kPlaneDof = kPatchPx - 3;

// One patch, one band: what is left after the least-squares plane.
struct PatchBand {
  float level = 0;
  float variance = 0;           // quantisation taken off; may be negative
  std::array<float, 4> lags{};  // covariance at lags 1, 2 in x; 1, 2 in y
  bool clipped = false;
  bool steep = false;
};

struct Patch {
  std::array<PatchBand, 3> bands;
  std::array<float, 3> cross{};  // covariance of r g, g b, r b
};

// Where codes end, and the variance that their steps add, by level.
struct Quantum {
  float low = 0, high = 1;
  float step_at_code = 0;  // encoded step
  float share = 1;

  explicit Quantum(const GrainCodes& codes);
  bool Clipped(float value) const;
  float Variance(double level) const;
};

// Patches on a grid over the picture; none where it is smaller than one.
std::vector<Patch> MeasurePatches(ImageView<SceneLinear> light, const Quantum& quantum);

}  // namespace wheatpaste
