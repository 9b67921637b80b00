// halftone.h - dots of ink beside bare paper.
//
// Model   Murray-Davies  a = (1 - 10^-(Dt - D0)) / (1 - 10^-(Ds - D0)), the share that dots cover, from densities of tint, solid
//         and paper; Yule-Nielsen divides the exponents by n, for light that spreads in the paper.
//         Demichel       w = product of a_i or 1 - a_i over the inks: the shares of all their overprints.
//         Neugebauer     R^(1/n) = sum w_i R_i^(1/n).
// Source  Murray 1936, J. Franklin Inst. 221, 721-744; Yule, Nielsen 1951, Proc. TAGA 3, 65-76; Demichel 1924; Neugebauer 1937,
//         Z. wiss. Photogr. 36, 73-89.
// Range   n >= 1; shares and reflectances 0 to 1.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <span>

namespace wheatpaste {

// n of offset on coated paper that fits the published patches of FOGRA39L best in the mean (tests/ink/neugebauer_test.cc).
inline constexpr double kYuleNielsen = 1.7;

double DotShare(double tint_density, double solid_density, double paper_density, double n);

// Shares of the 2^N overprints; bit i of the index: ink i is there.
template <size_t N>
std::array<double, (size_t{1} << N)> DemichelShares(const std::array<double, N>& dots) {
  std::array<double, (size_t{1} << N)> shares;
  for (size_t k = 0; k < shares.size(); ++k) {
    shares[k] = 1;
    for (size_t i = 0; i < N; ++i) shares[k] *= (k >> i & 1) != 0 ? dots[i] : 1 - dots[i];
  }
  return shares;
}

// One band of a mixture; `reflectances` as many as `shares`.
double NeugebauerReflectance(std::span<const double> shares, std::span<const double> reflectances,
                             double n);

}  // namespace wheatpaste
