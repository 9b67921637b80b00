// sampler.h - the numbers that a path draws: even within a pixel, independent from pixel to pixel.
//
// Model   pairs of Sobol's first two dimensions, a (0, m, 2)-net in base 2 for every 2^m first samples, Owen-scrambled by hashes. Each
//         pair of dimensions is a net of its own, its samples shuffled (padding). Sample k of a pixel hangs on (seed, pixel, k) alone.
// Source  Owen 1995 (scrambling); Burley 2020, JCGT 10(4), Practical Hash-based Owen Scrambling (hash, shuffling, padding); constants of
//         the hash: Vegdahl 2021, Building a Better LK Hash; of the mixer: Wellons 2018, hash-prospector (public domain).
//         Second dimension: Pascal's triangle modulo 2, binom(c, r) odd where r's bits are among c's (Lucas), so a sum over supersets.
#pragma once

#include <cstdint>

namespace wheatpaste {

inline uint32_t ReverseBits(uint32_t x) {
  x = __builtin_bswap32(x);
  x = (x >> 4 & 0x0f0f0f0fu) | (x & 0x0f0f0f0fu) << 4;
  x = (x >> 2 & 0x33333333u) | (x & 0x33333333u) << 2;
  return (x >> 1 & 0x55555555u) | (x & 0x55555555u) << 1;
}

inline uint32_t MixBits(uint32_t x) {
  x = (x ^ x >> 16) * 0x7feb352du;
  x = (x ^ x >> 15) * 0x846ca68bu;
  return x ^ x >> 16;
}

// Bits lower first: each is flipped or not by what lies below it.
inline uint32_t ScrambleUpwards(uint32_t x, uint32_t seed) {
  x ^= x * 0x3d20adeau;
  x += seed;
  x *= (seed >> 16) | 1;
  x ^= x * 0x05526c56u;
  return x ^ x * 0x53a22864u;
}

// The second dimension of sample `index`, first binary digit lowest. (Of the first dimension that is `index` itself.)
inline uint32_t SobolSecond(uint32_t index) {
  index ^= index >> 1 & 0x55555555u;
  index ^= index >> 2 & 0x33333333u;
  index ^= index >> 4 & 0x0f0f0f0fu;
  index ^= index >> 8 & 0x00ff00ffu;
  return index ^ (index >> 16 & 0x0000ffffu);
}

struct Pair {
  float x = 0, y = 0;  // [0, 1)
};

class Sampler {
 public:
  Sampler() = default;
  Sampler(uint64_t seed, int64_t x, int64_t y, uint32_t sample)
      : pixel_(MixBits(MixBits(MixBits(MixBits(static_cast<uint32_t>(seed) ^ 0x9e3779b9u) ^
                                       static_cast<uint32_t>(seed >> 32)) +
                               static_cast<uint32_t>(x)) +
                       static_cast<uint32_t>(y))),
        reversed_(ReverseBits(sample)) {}

  Pair At(uint32_t dimension) const {
    const uint32_t seed = MixBits(pixel_ + 0x9e3779b9u * (dimension + 1));
    const uint32_t index = ReverseBits(ScrambleUpwards(reversed_, seed));
    return {Unit(ScrambleUpwards(index, MixBits(seed + 1))),
            Unit(ScrambleUpwards(SobolSecond(index), MixBits(seed + 2)))};
  }

 private:
  static float Unit(uint32_t reversed) {
    return static_cast<float>(ReverseBits(reversed) >> 8) * 0x1p-24f;
  }
  uint32_t pixel_ = 0, reversed_ = 0;
};

}  // namespace wheatpaste
