// elliptical_average_simd.cc - the fast form of elliptical_average.h, once per instruction set.

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "image/elliptical_average_simd.cc"
#include <hwy/foreach_target.h>
#include <hwy/highway.h>

#include <algorithm>
#include <cmath>

#include "image/elliptical_average.h"

#ifndef WHEATPASTE_IMAGE_ELLIPTICAL_AVERAGE_ONCE
#define WHEATPASTE_IMAGE_ELLIPTICAL_AVERAGE_ONCE
namespace wheatpaste {

// What the walk over one ellipse needs, worked out for a block of pixels at a time.
struct EllipseBlock {
  static constexpr int kPixels = 64;
  alignas(64) float u[kPixels], v[kPixels];          // centre, level px
  alignas(64) float a[kPixels], b[kPixels], c[kPixels];  // q = a du^2 + b du dv + c dv^2
  alignas(64) float lean[kPixels];     // du of the chord's middle for dv = 1
  alignas(64) float chord2[kPixels];   // squared half chord at dv = 0
  alignas(64) float reach_v[kPixels];  // largest |dv|
  alignas(64) float level[kPixels];    // as a float; below 0: nothing to see
};

struct LevelRows {
  const float* plane[4];
  int64_t row_stride;
  int32_t width, height;
};

}  // namespace wheatpaste
#endif

HWY_BEFORE_NAMESPACE();
namespace wheatpaste {
namespace HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

// More lanes than this would mostly lie outside the ellipse.
using Lanes = hn::CappedTag<float, 8>;
using V = hn::Vec<Lanes>;

// `from` is the first pixel of the block within the row; lanes past the row's end repeat its last.
void SetUpBlock(const FootprintRow& row, int64_t from, int count, EllipseBlock& block) {
  const Lanes d;
  const hn::RebindToSigned<Lanes> di;
  const int lanes = static_cast<int>(hn::Lanes(d));
  alignas(64) float in[6][EllipseBlock::kPixels];
  const float* sources[6] = {row.u, row.v, row.du_dx, row.du_dy, row.dv_dx, row.dv_dy};
  for (int s = 0; s < 6; ++s) {
    std::copy_n(sources[s] + from, count, in[s]);
    std::fill(in[s] + count, in[s] + EllipseBlock::kPixels, in[s][count - 1]);
  }
  for (int i = 0; i < count; i += lanes) {
    const V ux = hn::Load(d, in[2] + i), uy = hn::Load(d, in[3] + i);
    const V vx = hn::Load(d, in[4] + i), vy = hn::Load(d, in[5] + i);
    V muu = hn::MulAdd(ux, ux, hn::Mul(uy, uy));
    const V muv = hn::MulAdd(ux, vx, hn::Mul(uy, vy));
    V mvv = hn::MulAdd(vx, vx, hn::Mul(vy, vy));
    const V half = hn::Set(d, 0.5f);
    const V half_trace = hn::Mul(half, hn::Add(muu, mvv));
    const V half_gap = hn::Mul(half, hn::Sub(muu, mvv));
    const V root = hn::Sqrt(hn::MulAdd(half_gap, half_gap, hn::Mul(muv, muv)));
    const V longest = hn::Add(half_trace, root);
    const V shortest = hn::Max(hn::Zero(d), hn::Sub(half_trace, root));
    const V share = hn::Set(d, kBoxShare);
    const V least = hn::Set(d, kMinRadius * kMinRadius + kBoxShare);
    const V wanted = hn::Max(
        hn::Max(shortest, least),
        hn::Mul(longest, hn::Set(d, 1.0f / (kMaxElongation * kMaxElongation))));
    const V widen = hn::Sub(wanted, shortest);

    // k = floor(log2(x) / 2), from the exponent bits of x; 4^-k, 2^-k by setting them.
    const V scaled = hn::Mul(wanted, hn::Set(d, 1.0f / (kMinRadius * kMinRadius + kBoxShare)));
    const auto exponent = hn::Sub(hn::ShiftRight<23>(hn::BitCast(di, scaled)), hn::Set(di, 127));
    const auto k = hn::Min(hn::ShiftRight<1>(hn::Max(exponent, hn::Zero(di))),
                           hn::Set(di, Pyramid::kLevels - 1));
    const V scale = hn::BitCast(d, hn::ShiftLeft<23>(hn::Sub(hn::Set(di, 127), k)));
    const V quarter = hn::Mul(scale, scale);
    muu = hn::Sub(hn::Mul(hn::Add(muu, widen), quarter), share);
    const V cross = hn::Mul(muv, quarter);
    mvv = hn::Sub(hn::Mul(hn::Add(mvv, widen), quarter), share);
    const V det = hn::NegMulAdd(cross, cross, hn::Mul(muu, mvv));
    const V u = hn::Mul(hn::Load(d, in[0] + i), scale);
    const V v = hn::Mul(hn::Load(d, in[1] + i), scale);
    hn::Store(u, d, block.u + i);
    hn::Store(v, d, block.v + i);
    hn::Store(hn::Div(mvv, det), d, block.a + i);
    hn::Store(hn::Div(hn::Mul(hn::Set(d, -2.0f), cross), det), d, block.b + i);
    hn::Store(hn::Div(muu, det), d, block.c + i);
    hn::Store(hn::Div(cross, mvv), d, block.lean + i);
    hn::Store(hn::Div(det, mvv), d, block.chord2 + i);
    hn::Store(hn::Sqrt(mvv), d, block.reach_v + i);
    // Anything not finite, or too far away for whole numbers, sees nothing.
    const auto near = hn::Lt(hn::Add(hn::Abs(u), hn::Abs(v)), hn::Set(d, 1e9f));
    const auto small = hn::Le(hn::Add(muu, mvv), hn::Set(d, kMostMoment));
    const V level =
        hn::IfThenElse(hn::And(near, small), hn::ConvertTo(d, k), hn::Set(d, -1.0f));
    hn::Store(level, d, block.level + i);
  }
}

void AverageRow(const Pyramid& artwork, const FootprintRow& row, const LinearPremulRow& out) {
  const Lanes d;
  const int lanes = static_cast<int>(hn::Lanes(d));
  const V lane_centre = hn::Add(hn::Iota(d, 0.0f), hn::Set(d, 0.5f));
  const Edges& edges = artwork.edges();
  LevelRows levels[Pyramid::kLevels];
  for (int k = 0; k < Pyramid::kLevels; ++k) {
    const ImageView<LinearPremul> view = artwork.level(k);
    for (int plane = 0; plane < 4; ++plane) levels[k].plane[plane] = view.row(plane, 0);
    levels[k].row_stride = view.row_stride();
    levels[k].width = static_cast<int32_t>(view.width());
    levels[k].height = static_cast<int32_t>(view.height());
  }

  EllipseBlock block;
  for (int64_t from = 0; from < row.count; from += EllipseBlock::kPixels) {
    const int count = static_cast<int>(std::min<int64_t>(EllipseBlock::kPixels, row.count - from));
    SetUpBlock(row, from, count, block);
    for (int p = 0; p < count; ++p) {
      const int64_t to = from + p;
      out.r[to] = out.g[to] = out.b[to] = out.a[to] = 0;
      if (block.level[p] < 0) continue;
      const LevelRows& level = levels[static_cast<int>(block.level[p])];
      const float u = block.u[p], v = block.v[p];
      const float reach_v = block.reach_v[p];
      const auto first_row = static_cast<int32_t>(std::ceil(v - reach_v - 0.5f));
      const auto last_row = static_cast<int32_t>(std::floor(v + reach_v - 0.5f));
      const V va = hn::Set(d, block.a[p]);
      const float inverse_reach2 = 1.0f / (reach_v * reach_v);
      V sum = hn::Zero(d), red = sum, green = sum, blue = sum, alpha = sum;
      for (int32_t j = first_row; j <= last_row; ++j) {
        const bool row_outside = j < 0 || j >= level.height;
        const bool row_clear = row_outside && (j < 0 ? !edges.repeat_top : !edges.repeat_bottom);
        const int32_t y = std::clamp(j, 0, level.height - 1);
        const float dv = static_cast<float>(j) + 0.5f - v;
        const float half2 = block.chord2[p] * (1.0f - dv * dv * inverse_reach2);
        if (half2 <= 0) continue;
        const float half = std::sqrt(half2);
        const float middle = u + block.lean[p] * dv - 0.5f;
        const auto first = static_cast<int32_t>(std::ceil(middle - half));
        const auto last = static_cast<int32_t>(std::floor(middle + half));
        const V vb = hn::Set(d, block.b[p] * dv);
        const V vc = hn::Set(d, block.c[p] * dv * dv);
        const int64_t offset = y * level.row_stride;
        for (int32_t i = first; i <= last; i += lanes) {
          const V du = hn::Add(lane_centre, hn::Set(d, static_cast<float>(i) - u));
          const V q = hn::MulAdd(hn::MulAdd(va, du, vb), du, vc);
          const V root_w = hn::Max(hn::Zero(d), hn::Sub(hn::Set(d, 1.0f), q));
          const V w = hn::Mul(root_w, root_w);
          sum = hn::Add(sum, w);
          if (row_clear) continue;
          if (HWY_LIKELY(i >= 0 && i + lanes <= level.width)) {
            red = hn::MulAdd(w, hn::LoadU(d, level.plane[0] + offset + i), red);
            green = hn::MulAdd(w, hn::LoadU(d, level.plane[1] + offset + i), green);
            blue = hn::MulAdd(w, hn::LoadU(d, level.plane[2] + offset + i), blue);
            alpha = hn::MulAdd(w, hn::LoadU(d, level.plane[3] + offset + i), alpha);
            continue;
          }
          // Along the artwork's left and right edges: lane by lane, clear or repeated.
          alignas(64) float part[4][8] = {};
          for (int lane = 0; lane < lanes; ++lane) {
            const int32_t x = i + lane;
            const bool clear = (x < 0 && !edges.repeat_left) ||
                               (x >= level.width && !edges.repeat_right);
            if (clear) continue;
            const int32_t inside = std::clamp(x, 0, level.width - 1);
            for (int plane = 0; plane < 4; ++plane) {
              part[plane][lane] = level.plane[plane][offset + inside];
            }
          }
          red = hn::MulAdd(w, hn::Load(d, part[0]), red);
          green = hn::MulAdd(w, hn::Load(d, part[1]), green);
          blue = hn::MulAdd(w, hn::Load(d, part[2]), blue);
          alpha = hn::MulAdd(w, hn::Load(d, part[3]), alpha);
        }
      }
      const float whole = hn::GetLane(hn::SumOfLanes(d, sum));
      if (whole <= 0) continue;
      const float scale = 1.0f / whole;
      out.r[to] = hn::GetLane(hn::SumOfLanes(d, red)) * scale;
      out.g[to] = hn::GetLane(hn::SumOfLanes(d, green)) * scale;
      out.b[to] = hn::GetLane(hn::SumOfLanes(d, blue)) * scale;
      out.a[to] = hn::GetLane(hn::SumOfLanes(d, alpha)) * scale;
    }
  }
}

}  // namespace HWY_NAMESPACE
}  // namespace wheatpaste
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace wheatpaste {

HWY_EXPORT(AverageRow);

void AverageEllipses(const Pyramid& artwork, const FootprintRow& footprints,
                     const LinearPremulRow& out) {
  if (footprints.count == 0) return;
  HWY_DYNAMIC_DISPATCH(AverageRow)(artwork, footprints, out);
}

}  // namespace wheatpaste
#endif
