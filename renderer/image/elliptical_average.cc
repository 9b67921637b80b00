#include "image/elliptical_average.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

struct Moments {
  double uu = 0, uv = 0, vv = 0;
};

Moments MomentsOf(const Footprint& f) {
  return {f.du_dx * f.du_dx + f.du_dy * f.du_dy, f.du_dx * f.dv_dx + f.du_dy * f.dv_dy,
          f.dv_dx * f.dv_dx + f.dv_dy * f.dv_dy};
}

// The mean over level k about its point (u, v), weighted weight(q).
template <typename Weight>
LinearPremul Walk(const Pyramid& artwork, int k, double u, double v, const Moments& m,
                  const Weight& weight) {
  const PyramidLevel level = artwork.level(k);
  const Edges& edges = artwork.edges();
  const double det = m.uu * m.vv - m.uv * m.uv;
  const double reach_u = std::sqrt(m.uu), reach_v = std::sqrt(m.vv);
  double sum = 0;
  double total[4] = {0, 0, 0, 0};
  for (auto j = static_cast<int64_t>(std::floor(v - reach_v)); j <= v + reach_v; ++j) {
    for (auto i = static_cast<int64_t>(std::floor(u - reach_u)); i <= u + reach_u; ++i) {
      const double du = static_cast<double>(i) + 0.5 - u, dv = static_cast<double>(j) + 0.5 - v;
      const double q = (m.vv * du * du - 2 * m.uv * du * dv + m.uu * dv * dv) / det;
      if (q >= 1) continue;
      const double w = weight(q);
      sum += w;
      const bool clear =
          (i < 0 && !edges.repeat_left) || (i >= level.size.width && !edges.repeat_right) ||
          (j < 0 && !edges.repeat_top) || (j >= level.size.height && !edges.repeat_bottom);
      if (clear) continue;
      const int64_t x = std::clamp<int64_t>(i, 0, level.size.width - 1);
      const int64_t y = std::clamp<int64_t>(j, 0, level.size.height - 1);
      for (int c = 0; c < 4; ++c) total[c] += w * double{level.at(x, y)[c]};
    }
  }
  if (sum == 0) return {};
  return {static_cast<float>(total[0] / sum), static_cast<float>(total[1] / sum),
          static_cast<float>(total[2] / sum), static_cast<float>(total[3] / sum)};
}

}  // namespace

LinearPremul AverageEllipse(const Pyramid& artwork, const Footprint& f) {
  Moments m = MomentsOf(f);
  constexpr double kRadius2 = double{kFilterRadiusPx} * double{kFilterRadiusPx};
  m = {kRadius2 * m.uu, kRadius2 * m.uv, kRadius2 * m.vv};
  if (!std::isfinite(m.uu + m.vv + f.u + f.v)) return {};
  const double half_trace = (m.uu + m.vv) / 2;
  const double root = std::sqrt((m.uu - m.vv) * (m.uu - m.vv) / 4 + m.uv * m.uv);
  const double longest = half_trace + root, shortest = std::max(0.0, half_trace - root);
  constexpr double kShare = double{kBoxShare};
  constexpr double kLeast = double{kMinRadius} * double{kMinRadius} + kShare;
  const double wanted =
      std::max({shortest, longest / (double{kMaxElongation} * double{kMaxElongation}), kLeast});
  const int k =
      std::min(static_cast<int>(std::floor(std::log2(wanted / kLeast) / 2)), Pyramid::kLevels - 1);
  const double quarter = std::ldexp(1.0, -2 * k);
  const double widen = wanted - shortest;
  m = {(m.uu + widen) * quarter - kShare, m.uv * quarter, (m.vv + widen) * quarter - kShare};
  if (m.uu + m.vv > double{kMostMoment}) return {};
  return Walk(artwork, k, std::ldexp(f.u, -k), std::ldexp(f.v, -k), m,
              [](double q) { return (1 - q) * (1 - q); });
}

FootprintReach ReachOf(const FootprintRow& f, const float* needed, float path) {
  constexpr float kRadius2 = kFilterRadiusPx * kFilterRadiusPx;
  constexpr float kLeast = kMinRadius * kMinRadius + kBoxShare;
  constexpr float kLongest = 1 / (kMaxElongation * kMaxElongation);
  FootprintReach reach{1e30f, -1e30f, 1e30f, -1e30f, Pyramid::kLevels - 1, 0};
  float least = 1e30f, most = 0, most_uu = 0, most_vv = 0;
  for (int64_t i = 0; i < f.count; ++i) {
    if (!(needed[i] > 0)) continue;
    const float uu = kRadius2 * (f.du_dx[i] * f.du_dx[i] + f.du_dy[i] * f.du_dy[i]) + path * path;
    const float vv = kRadius2 * (f.dv_dx[i] * f.dv_dx[i] + f.dv_dy[i] * f.dv_dy[i]) + path * path;
    const float det = kRadius2 * (f.du_dx[i] * f.dv_dy[i] - f.du_dy[i] * f.dv_dx[i]);
    const float trace = uu + vv;
    if (!std::isfinite(trace + f.u[i] + f.v[i])) continue;
    // The shorter radius squared is at least det^2 / trace and at most |det|; stretched, at most the longer one was.
    const float shorter = std::min(std::abs(det) + path * path, trace - 2 * path * path);
    const float wanted = std::max({shorter, kLongest * trace, kLeast});
    // Nothing is seen there (kMostMoment).
    if (trace * kLeast > wanted * (kMostMoment + 2)) continue;
    const float surely = std::max(trace > 0 ? det * det / trace : 0.0f, kLeast);
    least = std::min(least, surely);
    most = std::max(most, wanted);
    most_uu = std::max(most_uu, uu);
    most_vv = std::max(most_vv, vv);
    reach.low_u = std::min(reach.low_u, f.u[i]);
    reach.high_u = std::max(reach.high_u, f.u[i]);
    reach.low_v = std::min(reach.low_v, f.v[i]);
    reach.high_v = std::max(reach.high_v, f.v[i]);
  }
  if (!(most > 0)) return reach;
  // Rounding may choose the next level.
  constexpr float kRounding = 1.001f;
  const auto level = [](float wanted) {
    return std::clamp(static_cast<int>(std::floor(std::log2(wanted / kLeast) / 2)), 0,
                      Pyramid::kLevels - 1);
  };
  reach.least_level = level(least / kRounding);
  reach.most_level = level(most * kRounding);
  // Of its own px one more to each side, and the widening up to the least radius.
  const float px = std::ldexp(1.5f, reach.most_level);
  const float u = std::sqrt(most_uu + most) + px, v = std::sqrt(most_vv + most) + px;
  reach.low_u -= u;
  reach.high_u += u;
  reach.low_v -= v;
  reach.high_v += v;
  return reach;
}

LinearPremul AverageGaussianEllipse(const Pyramid& artwork, const Footprint& f) {
  Moments m = MomentsOf(f);
  m.uu += 1;
  m.vv += 1;
  return Walk(artwork, 0, f.u, f.v, m, [](double q) { return std::exp(-2 * q); });
}

float WideningBy(float blur_px) {
  const float share = blur_px / kFilterRadiusPx;
  return std::sqrt(1 + 8 * share * share);
}

}  // namespace wheatpaste
