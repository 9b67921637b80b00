#include "light/grain.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Core>

#include "base/parallel.h"
#include "light/grain_field.h"
#include "light/grain_patches.h"

namespace wheatpaste {
namespace {

constexpr int kLevels = 24;  // bins, even in sqrt(level)
constexpr int kLeastInBin = 24;
constexpr double kFlatReach = 2.5;  // s: patches beyond this many standard deviations hold texture
constexpr double kMostClipped = 0.2;
constexpr double kFirstDof = 45;
constexpr double kTinyVariance = 1e-9;

using Taps = std::array<double, 3>;

// Autocorrelation of the taps (t2 t1 t0 t1 t2) at lags 0 to 4; lag 0 is 1.
std::array<double, 5> TapsAutocorrelation(const Taps& t) {
  const double full[5] = {t[2], t[1], t[0], t[1], t[2]};
  std::array<double, 5> sums{};
  for (int lag = 0; lag < 5; ++lag) {
    for (int i = 0; i + lag < 5; ++i) sums[static_cast<size_t>(lag)] += full[i] * full[i + lag];
  }
  const double power = sums[0];
  for (double& sum : sums) sum /= power;
  return sums;
}

// What the plane leaves of noise with the given lags, per unit of its variance.
struct Remainder {
  double variance = 1;  // as the patches' variance states it
  double dof = kPlaneDof;
  std::array<double, 4> lags{};  // relative to `variance`
};

Remainder PlaneRemainder(const Taps& across, const Taps& down) {
  const auto cx = TapsAutocorrelation(across);
  const auto cy = TapsAutocorrelation(down);
  Eigen::MatrixXd c = Eigen::MatrixXd::Zero(kPatchPx, kPatchPx);
  Eigen::Matrix<double, kPatchPx, 3> u;
  for (int i = 0; i < kPatchPx; ++i) {
    for (int j = 0; j < kPatchPx; ++j) {
      const auto dx = static_cast<size_t>(std::abs(i % kPatchSide - j % kPatchSide));
      const auto dy = static_cast<size_t>(std::abs(i / kPatchSide - j / kPatchSide));
      if (dx < 5 && dy < 5) c(i, j) = cx[dx] * cy[dy];
    }
    const double middle = (kPatchSide - 1) / 2.0;
    u.row(i) << 1, i % kPatchSide - middle, i / kPatchSide - middle;
  }
  for (int k = 0; k < 3; ++k) u.col(k).normalize();
  // R = (I - U U^T) C (I - U U^T).
  const Eigen::Matrix<double, kPatchPx, 3> cu = c * u;
  const Eigen::Matrix3d ucu = u.transpose() * cu;
  c -= cu * u.transpose() + u * cu.transpose();
  c += u * ucu * u.transpose();
  Remainder out;
  const double trace = c.trace();
  out.variance = trace / kPlaneDof;
  out.dof = trace * trace / c.squaredNorm();
  const std::array<std::array<int, 2>, 4> steps{{{1, 0}, {2, 0}, {0, 1}, {0, 2}}};
  for (size_t k = 0; k < 4; ++k) {
    double sum = 0;
    int count = 0;
    for (int y = 0; y + steps[k][1] < kPatchSide; ++y) {
      for (int x = 0; x + steps[k][0] < kPatchSide; ++x, ++count) {
        sum += c(y * kPatchSide + x, (y + steps[k][1]) * kPatchSide + x + steps[k][0]);
      }
    }
    out.lags[k] = sum / count / out.variance;
  }
  return out;
}

int BinOf(double level) {
  const double t = std::sqrt(std::clamp(level, 0.0, 1.0));
  return std::min(static_cast<int>(t * kLevels), kLevels - 1);
}

// One level's flat patches of one band.
struct Bin {
  double level = 0;
  double variance = 0;
  double quantisation = 0;
  double bound = 0;  // patches with less are flat
  int flat = 0;      // 0: the level says nothing
};

// The mean of the lowest lump of variances.
Bin LowestLump(std::vector<const PatchBand*>& found, int clipped, double dof,
               const Quantum& quantum) {
  Bin bin;
  const auto count = static_cast<int>(found.size());
  if (count < kLeastInBin || clipped > kMostClipped * (count + clipped)) return bin;
  std::sort(found.begin(), found.end(), [](const PatchBand* p, const PatchBand* q) {
    return p->variance != q->variance ? p->variance < q->variance : p->level < q->level;
  });
  const double s = std::sqrt(2 / dof);
  // Wilson, Hilferty 1931: a tenth of chi-squared values lie below this share of their mean.
  const double tenth = std::pow(1 - 2 / (9 * dof) - 1.2816 * std::sqrt(2 / (9 * dof)), 3);
  const double tiny = kTinyVariance + 0.1 * double{quantum.Variance(found.front()->level)};
  double mean = std::max(0.0, double{found[found.size() / 10]->variance} / tenth);
  for (int round = 0; round < 30; ++round) {
    const double bound = mean * (1 + kFlatReach * s) + tiny;
    double sum = 0, levels = 0;
    int n = 0;
    for (const PatchBand* patch : found) {
      if (patch->variance > bound) break;
      sum += patch->variance;
      levels += patch->level;
      ++n;
    }
    if (n == 0) break;
    const double before = mean;
    mean = std::max(0.0, sum / n);
    bin = {levels / n, mean, quantum.Variance(levels / n), bound, n};
    if (std::abs(mean - before) <= 1e-4 * mean) break;
  }
  return bin;
}

using Bins = std::array<Bin, kLevels>;

Bins FlatLevels(const std::vector<Patch>& patches, size_t band, double dof,
                const Quantum& quantum) {
  std::array<std::vector<const PatchBand*>, kLevels> sorted;
  std::array<int, kLevels> clipped{};
  for (const Patch& patch : patches) {
    const PatchBand& p = patch.bands[band];
    const auto bin = static_cast<size_t>(BinOf(p.level));
    if (p.clipped) {
      ++clipped[bin];
    } else if (!p.steep) {
      sorted[bin].push_back(&p);
    }
  }
  Bins bins;
  for (size_t k = 0; k < kLevels; ++k) bins[k] = LowestLump(sorted[k], clipped[k], dof, quantum);
  return bins;
}

// Least relative squares for a, b >= 0; levels that lie above the line, perhaps with texture, count less.
void FitLine(const Bins& bins, GrainBand& band) {
  std::array<double, kLevels> weight{};
  for (size_t k = 0; k < kLevels; ++k) weight[k] = std::min(bins[k].flat, 600);
  for (int round = 0; round < 15; ++round) {
    double yy = 0, y1 = 0, one = 0, yv = 0, v1 = 0;
    for (size_t k = 0; k < kLevels; ++k) {
      if (bins[k].flat == 0) continue;
      const double scale = bins[k].variance + bins[k].quantisation + kTinyVariance;
      const double w = weight[k] / (scale * scale);
      const double y = std::max(0.0, bins[k].level);
      yy += w * y * y;
      y1 += w * y;
      one += w;
      yv += w * y * bins[k].variance;
      v1 += w * bins[k].variance;
    }
    if (one <= 0) return;
    const double det = yy * one - y1 * y1;
    band.a = det > 1e-9 * yy * one ? (yv * one - v1 * y1) / det : 0;
    band.b = (v1 - band.a * y1) / one;
    if (band.a < 0) {
      band.a = 0;
      band.b = v1 / one;
    } else if (band.b < 0) {
      band.b = 0;
      band.a = yy > 0 ? yv / yy : 0;
    }
    for (size_t k = 0; k < kLevels; ++k) {
      const double line = band.a * std::max(0.0, bins[k].level) + band.b;
      const double off = (bins[k].variance - line) / (line + bins[k].quantisation + kTinyVariance);
      const double reach = off > 0 ? 0.15 : 0.3;
      weight[k] = std::min(bins[k].flat, 600) * std::min(1.0, std::pow(reach / std::abs(off), 2));
    }
  }
}

void FitCurve(const Bins& bins, GrainBand& band) {
  constexpr double kWidth = 0.75 / (kGrainKnots - 1);  // of the weights, in sqrt(level)
  constexpr double kPatience = 40;                     // patches that the straight line is worth
  for (int knot = 0; knot < kGrainKnots; ++knot) {
    const double t = static_cast<double>(knot) / (kGrainKnots - 1);
    double sum = 0, weights = kPatience;
    for (const Bin& bin : bins) {
      if (bin.flat == 0) continue;
      const double line = band.a * std::max(0.0, bin.level) + band.b;
      const double floor = kTinyVariance + 0.02 * bin.quantisation;
      double ratio = (bin.variance + floor) / (line + floor);
      // Far above the line lies texture, not grain.
      if (ratio > kMostCurve) ratio = std::max(1.0, 2 * kMostCurve - ratio);
      ratio = std::max(ratio, kLeastCurve);
      const double d = (std::sqrt(std::clamp(bin.level, 0.0, 1.0)) - t) / kWidth;
      const double w = bin.flat * std::exp(-0.5 * d * d);
      sum += w * std::log(ratio);
      weights += w;
    }
    band.curve[static_cast<size_t>(knot)] = static_cast<float>(std::exp(sum / weights));
  }
}

bool IsFlat(const PatchBand& patch, const Bins& bins) {
  const Bin& bin = bins[static_cast<size_t>(BinOf(patch.level))];
  return bin.flat > 0 && !patch.clipped && !patch.steep && patch.variance <= bin.bound;
}

// Solves for the lags whose remainder is what the flat patches show, and sets them.
Remainder FitLags(const std::vector<Patch>& patches, size_t c, const Bins& bins, GrainBand& band) {
  std::array<double, 4> sums{};
  double variance = 0, codes = 0;
  for (const Patch& patch : patches) {
    const PatchBand& p = patch.bands[c];
    if (!IsFlat(p, bins)) continue;
    const Bin& bin = bins[static_cast<size_t>(BinOf(p.level))];
    const double w = 1 / (bin.variance + bin.quantisation + kTinyVariance);
    for (size_t k = 0; k < 4; ++k) sums[k] += w * double{p.lags[k]};
    variance += w * double{p.variance};
    codes += w * bin.quantisation;
  }
  // Noise far below a code's step has no shape left.
  std::array<double, 4> measured{};
  if (variance > 0.05 * codes && variance > 0) {
    for (size_t k = 0; k < 4; ++k) measured[k] = std::clamp(sums[k] / variance, -0.8, 0.9);
  }
  std::array<double, 4> lags = measured;
  Remainder rest;
  for (int round = 0; round < 12; ++round) {
    rest = PlaneRemainder(GrainTaps({lags[0], lags[1]}), GrainTaps({lags[2], lags[3]}));
    double off = 0;
    for (size_t k = 0; k < 4; ++k) {
      const double step = measured[k] - rest.lags[k];
      lags[k] = std::clamp(lags[k] + 0.9 * step, -0.85, 0.95);
      off = std::max(off, std::abs(step));
    }
    if (off < 2e-3) break;
  }
  band.lags = {{lags[0], lags[1]}, {lags[2], lags[3]}};
  return rest;
}

double BandCorrelation(const std::vector<Patch>& patches, const std::array<Bins, 3>& bins, size_t p,
                       size_t q, size_t cross) {
  double sum = 0, pp = 0, qq = 0;
  for (const Patch& patch : patches) {
    const PatchBand& a = patch.bands[p];
    const PatchBand& b = patch.bands[q];
    if (!IsFlat(a, bins[p]) || !IsFlat(b, bins[q])) continue;
    const double va = bins[p][static_cast<size_t>(BinOf(a.level))].variance;
    const double vb = bins[q][static_cast<size_t>(BinOf(b.level))].variance;
    if (va <= kTinyVariance || vb <= kTinyVariance) continue;
    sum += double{patch.cross[cross]} / std::sqrt(va * vb);
    pp += double{a.variance} / va;
    qq += double{b.variance} / vb;
  }
  return pp > 0 && qq > 0 ? std::clamp(sum / std::sqrt(pp * qq), -0.95, 0.99) : 0;
}

}  // namespace

Grain EstimateGrain(ImageView<SceneLinear> light, const GrainCodes& codes) {
  const Quantum quantum(codes);
  const std::vector<Patch> patches = MeasurePatches(light, quantum);
  Grain grain;
  std::array<Bins, 3> bins;
  ParallelFor(3, [&](int64_t plane) {
    const auto c = static_cast<size_t>(plane);
    GrainBand& band = grain.bands[c];
    band.curve.fill(1);
    double dof = kFirstDof;
    Remainder rest;
    for (int pass = 0; pass < 2; ++pass) {
      bins[c] = FlatLevels(patches, c, dof, quantum);
      rest = FitLags(patches, c, bins[c], band);
      dof = std::max(4.0, rest.dof);
    }
    for (const Bin& bin : bins[c]) band.patches += bin.flat;
    if (band.patches < kLeastGrainPatches) {
      band.lags = {};
      return;
    }
    FitLine(bins[c], band);
    FitCurve(bins[c], band);
    band.a /= rest.variance;
    band.b /= rest.variance;
  });
  grain.red_green = BandCorrelation(patches, bins, 0, 1, 0);
  grain.green_blue = BandCorrelation(patches, bins, 1, 2, 1);
  grain.red_blue = BandCorrelation(patches, bins, 0, 2, 2);
  return grain;
}

}  // namespace wheatpaste
