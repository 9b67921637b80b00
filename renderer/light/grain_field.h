// grain_field.h - grain of the measured shape, the same bits every time.
#pragma once

#include <array>
#include <cstdint>

#include "light/grain.h"

namespace wheatpaste {

// Noise of mean 0 and variance 1 with the measured correlations.
//
// Model   white values w_k(x, y), k = 1..3: the sum of four bytes of a hash of (seed, x, y), so nearly Gaussian and
//         never beyond 3.5 standard deviations. Band c is sum_ij u_ci v_cj (M w)_c(x + i, y + j), |i|, |j| <= 2:
//         five taps each way with the band's own autocorrelation at lags 1 and 2, and M M^T the bands' correlation.
// Threads a value depends on (seed, x, y, band) alone: rows may be filled in any order, cut anywhere.
class GrainField {
 public:
  GrainField(const Grain& grain, uint64_t seed);

  // Writes x1 - x0 values to each of r, g, b: the field of row y from column x0 on.
  void FillRow(int64_t y, int64_t x0, int64_t x1, float* r, float* g, float* b) const;

 private:
  static constexpr int kTaps = 2 * kGrainReach + 1;
  uint64_t seed_;
  std::array<std::array<float, kTaps>, 3> across_{};  // u of each band
  // [band][k][j]: v_cj M_ck, of rows y - 2 to y + 2.
  std::array<std::array<std::array<float, kTaps>, 3>, 3> down_{};
  std::array<bool, kTaps> row_used_{};
};

// Five symmetric taps (t2 t1 t0 t1 t2), squares adding to 1, whose autocorrelation at lags 1 and 2 comes nearest
// to the wanted one, lag 1 counting four times lag 2; lag 1 within [-0.7, 0.8] is met to 0.01 for noise
// that a small filter can have made.
// returns  t0, t1, t2.
std::array<double, 3> GrainTaps(const std::array<double, 2>& lags);

// A square of the field, made once; the picture is laid out with it. Grain is far finer than the square, and so faint
// that neither its repeating nor its seams show.
class GrainTile {
 public:
  static constexpr int64_t kSide = 512;
  GrainTile(const Grain& grain, uint64_t seed);

  // The `count` values of `band` from picture px (x, y) on to the right.
  void CopyRow(int band, int64_t x, int64_t y, int64_t count, float* to) const;

 private:
  Image<SceneLinear> tile_;
};

}  // namespace wheatpaste
