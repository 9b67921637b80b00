#include "ink/halftone.h"

#include <catch2/catch.hpp>

#include <cmath>

namespace wheatpaste {
namespace {

// Source  Murray 1936 and Yule, Nielsen 1951: tint 0.42 and solid 1.50 above paper (M09, M10); digits of the closed form.
TEST_CASE("DotShare: Murray-Davies and Yule-Nielsen", "[ink][published]") {
  CHECK(DotShare(0.42, 1.5, 0, 1) == Approx(0.640050787).margin(1e-9));
  CHECK(DotShare(0.42, 1.5, 0, 2) == Approx(0.466331827).margin(1e-9));
  // Densities above paper count.
  CHECK(DotShare(0.52, 1.6, 0.1, 1) == Approx(0.640050787).margin(1e-9));
}

// Source  a book on computational colour science, p. 148 (M08): inks of R 0.4 and 0.8 mixed equally in density give
//         (0.3979 + 0.0969) / 2 = 0.2474, R = 0.566. Neugebauer for n without end is that mean of densities.
TEST_CASE("NeugebauerReflectance: for large n densities are averaged", "[ink][published]") {
  const std::array<double, 2> shares{0.5, 0.5}, inks{0.4, 0.8};
  CHECK(NeugebauerReflectance(shares, inks, 1e6) == Approx(0.566).margin(5e-4));
  CHECK(NeugebauerReflectance(shares, inks, 1) == Approx(0.6));
}

TEST_CASE("DemichelShares: add up to one and are those of chance", "[ink][closed-form]") {
  const auto shares = DemichelShares<3>({0.2, 0.5, 0.9});
  double sum = 0;
  for (const double share : shares) sum += share;
  CHECK(sum == Approx(1));
  CHECK(shares[0] == Approx(0.8 * 0.5 * 0.1));
  CHECK(shares[5] == Approx(0.2 * 0.5 * 0.9));
}

}  // namespace
}  // namespace wheatpaste
