#include "ink/conductor.h"

#include <algorithm>
#include <span>

#include "base/error.h"

namespace wheatpaste {
namespace {

struct Measured {
  double nm, n, k;
};

// tests/published/conductors_nk.csv holds the same rows.
constexpr Measured kGold[] = {{430.5, 1.45, 1.948}, {450.9, 1.38, 1.914}, {471.4, 1.31, 1.849},
                              {495.9, 1.04, 1.833}, {520.9, 0.62, 2.081}, {548.6, 0.43, 2.455},
                              {582.1, 0.29, 2.863}, {616.8, 0.21, 3.272}, {659.5, 0.14, 3.697}};
constexpr Measured kSilver[] = {{430.5, 0.04, 2.462}, {450.9, 0.04, 2.657}, {471.4, 0.05, 2.869},
                                {495.9, 0.05, 3.093}, {520.9, 0.05, 3.324}, {548.6, 0.06, 3.586},
                                {582.1, 0.05, 3.858}, {616.8, 0.06, 4.152}, {659.5, 0.05, 4.483}};
constexpr Measured kCopper[] = {{430.5, 1.25, 2.305}, {450.9, 1.24, 2.397}, {471.4, 1.25, 2.483},
                                {495.9, 1.22, 2.564}, {520.9, 1.18, 2.608}, {548.6, 1.02, 2.577},
                                {582.1, 0.70, 2.704}, {616.8, 0.30, 3.205}, {659.5, 0.22, 3.747}};
constexpr Measured kAluminium[] = {{442.80, 0.6079, 5.3676}, {476.87, 0.7278, 5.7781},
                                   {516.60, 0.8734, 6.2418}, {563.57, 1.0728, 6.7839},
                                   {619.93, 1.3660, 7.4052}, {652.25, 1.5724, 7.7354}};

std::span<const Measured> MeasuredOf(Metal metal) {
  switch (metal) {
    case Metal::kGold:
      return kGold;
    case Metal::kSilver:
      return kSilver;
    case Metal::kCopper:
      return kCopper;
    case Metal::kAluminium:
      return kAluminium;
  }
  return kSilver;
}

}  // namespace

RefractiveIndex IndexOf(Metal metal, double wavelength_nm) {
  const std::span<const Measured> rows = MeasuredOf(metal);
  WHEATPASTE_CHECK_OP(wavelength_nm, >=, rows.front().nm);
  WHEATPASTE_CHECK_OP(wavelength_nm, <=, rows.back().nm);
  const auto after =
      std::find_if(rows.begin() + 1, rows.end(),
                   [wavelength_nm](const Measured& row) { return row.nm >= wavelength_nm; });
  const Measured &from = *(after - 1), &to = *after;
  const double t = (wavelength_nm - from.nm) / (to.nm - from.nm);
  return {from.n + t * (to.n - from.n), from.k + t * (to.k - from.k)};
}

double ReflectanceStraightOn(const RefractiveIndex& index) {
  const double kk = index.k * index.k;
  return ((index.n - 1) * (index.n - 1) + kk) / ((index.n + 1) * (index.n + 1) + kk);
}

Reflectance MetalReflectance(Metal metal) {
  const auto band = [metal](double nm) { return ReflectanceStraightOn(IndexOf(metal, nm)); };
  return {band(kBandsNm[0]), band(kBandsNm[1]), band(kBandsNm[2])};
}

}  // namespace wheatpaste
