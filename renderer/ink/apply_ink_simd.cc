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

// One vector of pixels: L' = L bare + c C ((1 - o) (L - S) + o white E_t) + c alpha gloss S.
template <typename Load, typename Store>
HWY_INLINE void InkVector(const Ink& ink, const InkRow& row, int64_t i, const Load& load,
                          const Store& store) {
  const Lanes d;
  const V c = load(row.seen + i);
  const V alpha = hn::Mul(c, load(row.artwork[3] + i));
  const V bare = hn::Sub(hn::Set(d, 1.0f), alpha);
  const V clear = hn::Set(d, static_cast<float>(1 - ink.opacity));
  const double covers = ink.opacity * ink.white;
  V hide = hn::Set(d, static_cast<float>(covers));
  // Of the photo's noise: what ink lets through.
  V through = clear;
  if (row.texture != nullptr && ink.opacity > 0) {
    const V one = hn::Set(d, 1.0f), texture = hn::Set(d, static_cast<float>(ink.texture));
    hide = hn::Mul(hide, hn::MulAdd(texture, hn::Sub(load(row.texture + i), one), one));
    through =
        hn::Add(through, hn::Set(d, static_cast<float>(covers * ink.texture / row.substrate)));
  }
  for (int k = 0; k < 3; ++k) {
    const V l = load(row.light[k] + i);
    const V colour = hn::Mul(c, load(row.artwork[k] + i));
    V lit = hn::Mul(clear, l);
    V printed = hn::Mul(bare, l);
    if (row.gloss[k] != nullptr) {
      const V s = load(row.gloss[k] + i);
      lit = hn::NegMulAdd(clear, s, lit);
      const V kept = hn::Mul(alpha, hn::Set(d, static_cast<float>(ink.gloss)));
      printed = hn::MulAdd(kept, s, printed);
    }
    if (ink.opacity > 0) lit = hn::MulAdd(hide, load(row.irradiance[k] + i), lit);
    printed = hn::MulAdd(colour, lit, printed);
    if (const float* table = row.noise_variance[k]) {
      const V along = hn::MulAdd(through, colour, bare);
      const V missing = hn::NegMulAdd(hn::Mul(along, along), NoiseVariance(table, l),
                                      NoiseVariance(table, printed));
      const V sd = hn::Sqrt(hn::Max(missing, hn::Zero(d)));
      printed = hn::MulAdd(sd, load(row.noise[k] + i), printed);
    }
    store(printed, row.light[k] + i);
  }
}

void InkWhole(const Ink& ink, const InkRow& row) {
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

void ApplyInk(const Ink& ink, const InkRow& row) { HWY_DYNAMIC_DISPATCH(InkWhole)(ink, row); }

}  // namespace wheatpaste
#endif
