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
  alignas(64) float u[kPixels], v[kPixels];              // centre, level px
  alignas(64) float a[kPixels], b[kPixels], c[kPixels];  // q = a du^2 + b du dv + c dv^2
  alignas(64) float reach_u[kPixels], reach_v[kPixels];  // largest |du|, |dv|
  alignas(64) float level[kPixels];                      // as a float; below 0: nothing to see
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
    const V radius = hn::Set(d, kFilterRadiusPx);
    const V ux = hn::Mul(radius, hn::Load(d, in[2] + i));
    const V uy = hn::Mul(radius, hn::Load(d, in[3] + i));
    const V vx = hn::Mul(radius, hn::Load(d, in[4] + i));
    const V vy = hn::Mul(radius, hn::Load(d, in[5] + i));
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
    const V wanted =
        hn::Max(hn::Max(shortest, least),
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
    hn::Store(hn::Sqrt(muu), d, block.reach_u + i);
    hn::Store(hn::Sqrt(mvv), d, block.reach_v + i);
    // Anything not finite, or too far away for whole numbers, sees nothing.
    const auto near = hn::Lt(hn::Add(hn::Abs(u), hn::Abs(v)), hn::Set(d, 1e9f));
    const auto small = hn::Le(hn::Add(muu, mvv), hn::Set(d, kMostMoment));
    const V level = hn::IfThenElse(hn::And(near, small), hn::ConvertTo(d, k), hn::Set(d, -1.0f));
    hn::Store(level, d, block.level + i);
  }
}

// A pixel's four values, in one vector or (scalar target) in four.
using PixelLanes = hn::CappedTag<float, 4>;
using P = hn::Vec<PixelLanes>;
constexpr size_t kPixelLanes = hn::MaxLanes(PixelLanes());
constexpr size_t kPixelParts = 4 / kPixelLanes;

// Weighted sums over one ellipse.
struct Sums {
  V weight;  // to be added up over the lanes
  P value[kPixelParts];
};

HWY_INLINE void Add(Sums& sums, float weight, const float* pixel) {
  const PixelLanes d;
  const P w = hn::Set(d, weight);
  for (size_t part = 0; part < kPixelParts; ++part) {
    sums.value[part] = hn::MulAdd(w, hn::LoadU(d, pixel + part * kPixelLanes), sums.value[part]);
  }
}

// Rows and columns that hold the ellipse's bounds.
struct Box {
  int32_t first_row, last_row, first_column, last_column;
};

HWY_INLINE Box BoundsOf(const EllipseBlock& block, int p) {
  const float u = block.u[p] - 0.5f, v = block.v[p] - 0.5f;
  return {static_cast<int32_t>(std::ceil(v - block.reach_v[p])),
          static_cast<int32_t>(std::floor(v + block.reach_v[p])),
          static_cast<int32_t>(std::ceil(u - block.reach_u[p])),
          static_cast<int32_t>(std::floor(u + block.reach_u[p]))};
}

// A small ellipse wholly within the artwork: every row of its bounds, all columns. Down a column
// e = 1 - q is a parabola, so it goes on by its first and second difference.
HWY_INLINE void WalkBox(const EllipseBlock& block, int p, const PyramidLevel& level, const Box& box,
                        int lanes, V lane_centre, Sums& sums) {
  const Lanes d;
  const float dv = static_cast<float>(box.first_row) + 0.5f - block.v[p];
  const float c = block.c[p];
  const V second = hn::Set(d, -2.0f * c);
  const int64_t row_floats = 4 * level.size.width;
  HWY_ALIGN float weights[8];
  for (int32_t i = box.first_column; i <= box.last_column; i += lanes) {
    const V du = hn::Add(lane_centre, hn::Set(d, static_cast<float>(i) - block.u[p]));
    const V b_du = hn::Mul(hn::Set(d, block.b[p]), du);
    const V a_du2 = hn::Mul(hn::Mul(hn::Set(d, block.a[p]), du), du);
    V e = hn::Sub(hn::NegMulAdd(b_du, hn::Set(d, dv), hn::Set(d, 1.0f - c * dv * dv)), a_du2);
    V step = hn::Sub(hn::Set(d, -c * (2 * dv + 1)), b_du);
    const int32_t count = std::min(lanes, box.last_column + 1 - i);
    const float* pixels = level.at(i, box.first_row);
    for (int32_t j = box.first_row; j <= box.last_row; ++j, pixels += row_floats) {
      const V root_w = hn::Max(hn::Zero(d), e);
      const V w = hn::Mul(root_w, root_w);
      sums.weight = hn::Add(sums.weight, w);
      hn::Store(w, d, weights);
      for (int32_t lane = 0; lane < count; ++lane) Add(sums, weights[lane], pixels + 4 * lane);
      e = hn::Add(e, step);
      step = hn::Add(step, second);
    }
  }
}

// Any ellipse: each row from its chord's first column to its last, edges clear or repeated.
void WalkChords(const EllipseBlock& block, int p, const PyramidLevel& level, const Edges& edges,
                const Box& box, int lanes, V lane_centre, Sums& sums) {
  const Lanes d;
  const float u = block.u[p], v = block.v[p];
  const auto width = static_cast<int32_t>(level.size.width);
  const auto height = static_cast<int32_t>(level.size.height);
  const V va = hn::Set(d, block.a[p]);
  HWY_ALIGN float weights[8];
  for (int32_t j = box.first_row; j <= box.last_row; ++j) {
    const bool row_outside = j < 0 || j >= height;
    const bool row_clear = row_outside && (j < 0 ? !edges.repeat_top : !edges.repeat_bottom);
    const float dv = static_cast<float>(j) + 0.5f - v;
    // q = 1 is a du^2 + b dv du + (c dv^2 - 1) = 0 along the row.
    const float lean = -block.b[p] * dv / (2 * block.a[p]);
    const float half2 = lean * lean - (block.c[p] * dv * dv - 1) / block.a[p];
    if (half2 <= 0) continue;
    const float half = std::sqrt(half2);
    const float middle = u + lean - 0.5f;
    const auto first = static_cast<int32_t>(std::ceil(middle - half));
    const auto last = static_cast<int32_t>(std::floor(middle + half));
    const V vb = hn::Set(d, block.b[p] * dv);
    const V rest = hn::Set(d, 1.0f - block.c[p] * dv * dv);
    const float* const row = level.at(0, std::clamp(j, 0, height - 1));
    for (int32_t i = first; i <= last; i += lanes) {
      const V du = hn::Add(lane_centre, hn::Set(d, static_cast<float>(i) - u));
      const V e = hn::NegMulAdd(hn::MulAdd(va, du, vb), du, rest);
      const V root_w = hn::Max(hn::Zero(d), e);
      const V w = hn::Mul(root_w, root_w);
      sums.weight = hn::Add(sums.weight, w);
      if (row_clear) continue;
      hn::Store(w, d, weights);
      const int32_t count = std::min(lanes, last + 1 - i);
      for (int32_t lane = 0; lane < count; ++lane) {
        const int32_t x = i + lane;
        if ((x < 0 && !edges.repeat_left) || (x >= width && !edges.repeat_right)) continue;
        Add(sums, weights[lane], row + 4 * int64_t{std::clamp(x, 0, width - 1)});
      }
    }
  }
}

void AverageRow(const Pyramid& artwork, const FootprintRow& row, const LinearPremulRow& out) {
  const Lanes d;
  const PixelLanes pixel_lanes;
  const int lanes = static_cast<int>(hn::Lanes(d));
  const V lane_centre = hn::Add(hn::Iota(d, 0.0f), hn::Set(d, 0.5f));
  PyramidLevel levels[Pyramid::kLevels];
  for (int k = 0; k < Pyramid::kLevels; ++k) levels[k] = artwork.level(k);

  EllipseBlock block;
  for (int64_t from = 0; from < row.count; from += EllipseBlock::kPixels) {
    const int count = static_cast<int>(std::min<int64_t>(EllipseBlock::kPixels, row.count - from));
    SetUpBlock(row, from, count, block);
    for (int p = 0; p < count; ++p) {
      const int64_t to = from + p;
      out.r[to] = out.g[to] = out.b[to] = out.a[to] = 0;
      if (block.level[p] < 0) continue;
      const PyramidLevel& level = levels[static_cast<int>(block.level[p])];
      const Box box = BoundsOf(block, p);
      Sums sums;
      sums.weight = hn::Zero(d);
      for (P& value : sums.value) value = hn::Zero(pixel_lanes);
      const bool within = box.first_row >= 0 && box.last_row < level.size.height &&
                          box.first_column >= 0 && box.last_column < level.size.width;
      // Wider than this, a slanted ellipse leaves most of its box empty.
      constexpr int32_t kWidestBox = 8;
      if (HWY_LIKELY(within && box.last_column - box.first_column < kWidestBox)) {
        WalkBox(block, p, level, box, lanes, lane_centre, sums);
      } else {
        WalkChords(block, p, level, artwork.edges(), box, lanes, lane_centre, sums);
      }
      const float whole = hn::GetLane(hn::SumOfLanes(d, sums.weight));
      if (whole <= 0) continue;
      const float scale = 1.0f / whole;
      HWY_ALIGN float value[4];
      for (size_t part = 0; part < kPixelParts; ++part) {
        hn::Store(hn::Mul(sums.value[part], hn::Set(pixel_lanes, scale)), pixel_lanes,
                  value + part * kPixelLanes);
      }
      out.r[to] = value[0];
      out.g[to] = value[1];
      out.b[to] = value[2];
      out.a[to] = value[3];
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
