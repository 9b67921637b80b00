// smooth_noise.h - smooth unevenness for things that nobody folds twice alike.
//
// Model   values -1 to 1 at whole numbers from a hash of (seed, x, y), between them smoothly (3 t^2 - 2 t^3).
#pragma once

#include <cmath>
#include <cstdint>

namespace wheatpaste {

// 0 to 1.
inline double NoiseHash(int64_t seed, int64_t x, int64_t y, int64_t z) {
  uint64_t h = static_cast<uint64_t>(seed) * 0x9e3779b97f4a7c15u;
  for (const int64_t part : {x, y, z}) {
    h ^= static_cast<uint64_t>(part) + 0x9e3779b97f4a7c15u + (h << 6) + (h >> 2);
    h ^= h >> 33;
    h *= 0xff51afd7ed558ccdu;
    h ^= h >> 29;
  }
  return static_cast<double>(h >> 11) * 0x1p-53;
}

inline double SmoothNoise(int64_t seed, double x, double y) {
  const double fx = std::floor(x), fy = std::floor(y);
  const auto ix = static_cast<int64_t>(fx), iy = static_cast<int64_t>(fy);
  const auto smooth = [](double t) { return t * t * (3 - 2 * t); };
  const double u = smooth(x - fx), v = smooth(y - fy);
  const auto at = [&](int64_t i, int64_t k) { return 2 * NoiseHash(seed, ix + i, iy + k, 1) - 1; };
  return (1 - v) * ((1 - u) * at(0, 0) + u * at(1, 0)) + v * ((1 - u) * at(0, 1) + u * at(1, 1));
}

}  // namespace wheatpaste
