// apply_ink_simd.cc - the fast form of apply_ink.h, once per instruction set.

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "ink/apply_ink_simd.cc"
#include <hwy/foreach_target.h>
#include <hwy/highway.h>

#include <algorithm>

#include "ink/apply_ink.h"

HWY_BEFORE_NAMESPACE();
namespace wheatpaste {
namespace HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

using Lanes = hn::ScalableTag<float>;
using V = hn::Vec<Lanes>;

HWY_INLINE V NoiseVariance(const float* table, V level) {
  const Lanes d;
  const V at = hn::Mul(hn::Min(hn::Max(level, hn::Zero(d)), hn::Set(d, 1.0f)),
                       hn::Set(d, static_cast<float>(kNoiseSteps)));
  const auto k = hn::ConvertTo(hn::RebindToSigned<Lanes>(), at);
  const V low = hn::GatherIndex(d, table, k), high = hn::GatherIndex(d, table + 1, k);
  return hn::MulAdd(hn::Sub(at, hn::ConvertTo(d, k)), hn::Sub(high, low), low);
}

// One vector of pixels; the terms of apply_ink.h.
template <typename Load, typename Store>
HWY_INLINE void InkVector(const InkWeights& ink, const InkRow& row, int64_t i, const Load& load,
                          const Store& store) {
  const Lanes d;
  const V c = load(row.seen + i);
  const V alpha = hn::Mul(c, load(row.alpha + i));
  const V bare = hn::Sub(hn::Set(d, 1.0f), alpha);
  const V filter_share = hn::Mul(c, hn::Set(d, static_cast<float>(ink.filter)));
  const bool covers = ink.cover > 0;
  const V cover_share = hn::Mul(c, hn::Set(d, static_cast<float>(ink.cover)));
  V texture = hn::Set(d, 1.0f), through = hn::Zero(d);
  if (row.texture != nullptr && covers) {
    const V one = hn::Set(d, 1.0f), shown = hn::Set(d, static_cast<float>(ink.texture));
    texture = hn::MulAdd(shown, hn::Sub(load(row.texture + i), one), one);
    through = hn::Set(d, static_cast<float>(ink.texture / row.substrate));
  }
  for (int k = 0; k < 3; ++k) {
    const V l = load(row.light[k] + i);
    V under = row.under[k] != nullptr ? load(row.under[k] + i) : l;
    const V filter = hn::Mul(filter_share, load(row.filter[k] + i));
    V printed = hn::Mul(bare, l);
    if (row.gloss[k] != nullptr) {
      const V s = load(row.gloss[k] + i);
      under = hn::Sub(under, s);
      const V kept = hn::Mul(alpha, hn::Set(d, static_cast<float>(ink.gloss)));
      printed = hn::MulAdd(kept, s, printed);
    }
    printed = hn::MulAdd(filter, under, printed);
    V along = hn::Add(bare, filter);
    if (covers) {
      const V cover = hn::Mul(cover_share, load(row.cover[k] + i));
      printed = hn::MulAdd(hn::Mul(cover, texture), load(row.irradiance[k] + i), printed);
      along = hn::MulAdd(cover, through, along);
    }
    if (const float* table = row.noise_variance[k]) {
      const V missing = hn::NegMulAdd(hn::Mul(along, along), NoiseVariance(table, l),
                                      NoiseVariance(table, printed));
      const V sd = hn::Sqrt(hn::Max(missing, hn::Zero(d)));
      printed = hn::MulAdd(sd, load(row.noise[k] + i), printed);
    }
    store(printed, row.light[k] + i);
  }
}

void InkWhole(const InkWeights& ink, const InkRow& row) {
  const Lanes d;
  const auto lanes = static_cast<int64_t>(hn::Lanes(d));
  int64_t i = 0;
  for (; i + lanes <= row.count; i += lanes) {
    InkVector(
        ink, row, i, [d](const float* from) { return hn::LoadU(d, from); },
        [d](V value, float* to) { hn::StoreU(value, d, to); });
  }
  const auto rest = static_cast<size_t>(row.count - i);
  if (rest == 0) return;
  InkVector(
      ink, row, i,
      [d, rest](const float* from) {
        HWY_ALIGN float lane[HWY_MAX_BYTES / sizeof(float)] = {};
        std::copy_n(from, rest, lane);
        return hn::Load(d, lane);
      },
      [d, rest](V value, float* to) {
        HWY_ALIGN float lane[HWY_MAX_BYTES / sizeof(float)];
        hn::Store(value, d, lane);
        std::copy_n(lane, rest, to);
      });
}

}  // namespace HWY_NAMESPACE
}  // namespace wheatpaste
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace wheatpaste {

HWY_EXPORT(InkWhole);

void ApplyInk(const InkWeights& ink, const InkRow& row) {
  HWY_DYNAMIC_DISPATCH(InkWhole)(ink, row);
}

}  // namespace wheatpaste
#endif
