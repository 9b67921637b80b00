#include "light/grain_field.h"

#include <algorithm>
#include <numeric>

#include <Eigen/Cholesky>
#include <Eigen/Core>

namespace wheatpaste {
namespace {

using Taps = std::array<double, 3>;

// Finaliser of the splitmix64 generator: Steele, Lea, Flood 2014, OOPSLA, doi:10.1145/2660193.2660195.
uint64_t MixBits(uint64_t z) {
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
  return z ^ (z >> 31);
}
constexpr uint64_t kGolden = 0x9E3779B97F4A7C15u;  // its increment, 2^64 over the golden ratio

uint64_t RowKey(uint64_t seed, int64_t y) {
  return MixBits(seed ^ (static_cast<uint64_t>(y) * kGolden));
}

// Both halves of a 128-bit product of the counter, folded (Wang Yi's wyrand, public domain, from memory);
// two of them make four bytes for each of four bands, added in lanes of 16 bits. The fourth is not used.
inline uint64_t FourBytes(uint64_t counter) {
  constexpr uint64_t kBytes = 0x00FF00FF00FF00FFu;
  const auto fold = [counter](uint64_t key) {
    const auto product = static_cast<unsigned __int128>(counter) * (counter ^ key);
    return static_cast<uint64_t>(product >> 64) ^ static_cast<uint64_t>(product);
  };
  const uint64_t h = fold(0xE7037ED1A0B428DBu), k = fold(0x8EBC6AF09C88C6E3u);
  return (h & kBytes) + ((h >> 8) & kBytes) + (k & kBytes) + ((k >> 8) & kBytes);
}

void SetBytes(uint64_t counter, size_t count, uint64_t* bytes) {
  for (size_t i = 0; i < count; ++i, counter += kGolden) bytes[i] = FourBytes(counter);
}
void AddBytes(uint64_t counter, size_t count, uint64_t* bytes) {
  for (size_t i = 0; i < count; ++i, counter += kGolden) bytes[i] += FourBytes(counter);
}

}  // namespace

std::array<double, 3> GrainTaps(const std::array<double, 2>& lags) {
  const auto miss = [&lags](double p, double q) {
    const double power = 1 + 2 * p * p + 2 * q * q;
    const double first = 2 * (p + p * q) / power - lags[0];
    const double second = (2 * q + p * p) / power - lags[1];
    return 16 * first * first + second * second;
  };
  double best_p = 0, best_q = 0, least = miss(0, 0);
  const auto try_at = [&](double p, double q) {
    const double found = miss(p, q);
    if (found >= least) return;
    least = found;
    best_p = p;
    best_q = q;
  };
  for (int i = -10; i <= 10; ++i) {
    for (int j = -6; j <= 8; ++j) try_at(0.12 * i, 0.12 * j);
  }
  for (double step = 0.06; step > 5e-4; step /= 1.6) {
    const double p = best_p, q = best_q;
    for (int i = -2; i <= 2; ++i) {
      for (int j = -2; j <= 2; ++j) try_at(p + step * i, q + step * j);
    }
  }
  const double norm = std::sqrt(1 + 2 * best_p * best_p + 2 * best_q * best_q);
  return {1 / norm, best_p / norm, best_q / norm};
}

GrainField::GrainField(const Grain& grain, uint64_t seed) : seed_(MixBits(seed + kGolden)) {
  std::array<std::array<double, kTaps>, 3> across{}, down{};
  for (size_t c = 0; c < 3; ++c) {
    const GrainLags& lags = grain.bands[c].lags;
    const Taps u = GrainTaps(lags.x);
    const Taps v = GrainTaps(lags.y);
    for (size_t i = 0; i < kTaps; ++i) {
      const size_t from_middle = i < kGrainReach ? kGrainReach - i : i - kGrainReach;
      across[c][i] = u[from_middle];
      down[c][i] = v[from_middle];
      across_[c][i] = static_cast<float>(u[from_middle]);
    }
  }
  // Bands filtered differently agree less afterwards: the mixed white noise agrees more.
  Eigen::Matrix3d wanted;
  wanted << 1, grain.red_green, grain.red_blue, grain.red_green, 1, grain.green_blue,
      grain.red_blue, grain.green_blue, 1;
  const auto dot = [](const auto& p, const auto& q) {
    return std::inner_product(p.begin(), p.end(), q.begin(), 0.0);
  };
  for (int p = 0; p < 3; ++p) {
    for (int q = 0; q < 3; ++q) {
      const auto i = static_cast<size_t>(p), j = static_cast<size_t>(q);
      if (p == q) continue;
      const double agree = std::max(0.2, dot(across[i], across[j]) * dot(down[i], down[j]));
      wanted(p, q) = std::clamp(wanted(p, q) / agree, -0.99, 0.99);
    }
  }
  Eigen::LLT<Eigen::Matrix3d> root(wanted);
  for (double off = 0.98; root.info() != Eigen::Success && off > 0; off -= 0.02) {
    Eigen::Matrix3d nearer = off * wanted;
    nearer.diagonal().setOnes();
    root.compute(nearer);
  }
  const Eigen::Matrix3d mix = root.matrixL();
  for (int c = 0; c < 3; ++c) {
    for (int k = 0; k < 3; ++k) {
      for (int j = 0; j < kTaps; ++j) {
        const auto cc = static_cast<size_t>(c), kk = static_cast<size_t>(k),
                   jj = static_cast<size_t>(j);
        const double tap = down[cc][jj] * mix(c, k);
        down_[cc][kk][jj] = static_cast<float>(tap);
        row_used_[jj] = row_used_[jj] || std::abs(tap) > 2e-3;
      }
    }
  }
}

void GrainField::FillRow(int64_t y, int64_t x0, int64_t x1, float* r, float* g, float* b) const {
  constexpr int64_t kChunk = 256;
  constexpr int64_t kWide = kChunk + 2 * kGrainReach;
  // Four bytes: mean 4 x 127.5, variance 4 x (2^16 - 1) / 12.
  constexpr float kPerSd = 0.006765875f;  // 1 / sqrt(21845)
  std::array<uint64_t, kWide> bytes;
  std::array<std::array<float, kWide>, 3> white;
  std::array<std::array<float, kWide>, 3> sums;
  float* const out[3] = {r, g, b};
  for (int64_t start = x0; start < x1; start += kChunk) {
    const int64_t count = std::min(kChunk, x1 - start);
    const auto wide = static_cast<size_t>(count + 2 * kGrainReach);
    for (auto& sum : sums) std::fill_n(sum.begin(), wide, 0.0f);
    for (int64_t off = 0; off <= kGrainReach; ++off) {
      const auto row = static_cast<size_t>(kGrainReach - off);
      if (!row_used_[row]) continue;
      const auto counter = static_cast<uint64_t>(start - kGrainReach) * kGolden;
      // Rows above and below have the same tap: their bytes are added first.
      SetBytes(RowKey(seed_, y - off) + counter, wide, bytes.data());
      if (off > 0) AddBytes(RowKey(seed_, y + off) + counter, wide, bytes.data());
      const float mean = off > 0 ? 1020.0f : 510.0f;
      for (size_t i = 0; i < wide; ++i) {
        const uint64_t four = bytes[i];
        white[0][i] = static_cast<float>(static_cast<int32_t>(four & 0xFFFF));
        white[1][i] = static_cast<float>(static_cast<int32_t>((four >> 16) & 0xFFFF));
        white[2][i] = static_cast<float>(static_cast<int32_t>((four >> 32) & 0xFFFF));
      }
      // M is lower triangular.
      const float rr = down_[0][0][row], gr = down_[1][0][row], gg = down_[1][1][row];
      const float br = down_[2][0][row], bg = down_[2][1][row], bb = down_[2][2][row];
      for (size_t i = 0; i < wide; ++i) {
        const float w0 = (white[0][i] - mean) * kPerSd;
        const float w1 = (white[1][i] - mean) * kPerSd;
        const float w2 = (white[2][i] - mean) * kPerSd;
        sums[0][i] += rr * w0;
        sums[1][i] += gr * w0 + gg * w1;
        sums[2][i] += br * w0 + bg * w1 + bb * w2;
      }
    }
    for (size_t c = 0; c < 3; ++c) {
      const auto& u = across_[c];
      const float* in = sums[c].data();
      float* to = out[c] + (start - x0);
      for (int64_t i = 0; i < count; ++i) {
        to[i] = u[2] * in[i + 2] + u[1] * (in[i + 1] + in[i + 3]) + u[0] * (in[i] + in[i + 4]);
      }
    }
  }
}

GrainTile::GrainTile(const Grain& grain, uint64_t seed) : tile_(SizePx{kSide, kSide}) {
  const GrainField field(grain, seed);
  for (int64_t y = 0; y < kSide; ++y) {
    field.FillRow(y, 0, kSide, tile_.row(0, y), tile_.row(1, y), tile_.row(2, y));
  }
}

void GrainTile::CopyRow(int band, int64_t x, int64_t y, int64_t count, float* to) const {
  const float* row = tile_.row(band, y & (kSide - 1));
  while (count > 0) {
    const int64_t from = x & (kSide - 1), part = std::min(count, kSide - from);
    std::copy_n(row + from, part, to);
    to += part;
    x += part;
    count -= part;
  }
}

}  // namespace wheatpaste
