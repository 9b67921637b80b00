#include "ink/conductor.h"

#include <catch2/catch.hpp>

#include <map>

#include "support.h"

namespace wheatpaste {
namespace {

const std::map<std::string, Metal> kMetals{{"Au", Metal::kGold},
                                           {"Ag", Metal::kSilver},
                                           {"Cu", Metal::kCopper},
                                           {"Al", Metal::kAluminium}};

// Source  Johnson, Christy 1972 and Rakic 1995 as the refractiveindex.info database tabulates them (CC0):
//         tests/published/conductors_nk.csv; F0 there is computed from them apart from this program.
// Limit   of n and k none: the table is copied; of F0 half its last digit.
TEST_CASE("Metals: n, k and F0 are those measured", "[ink][published]") {
  int compared = 0;
  for (const auto& row : test::ReadCsv(test::SourcePath("tests/published/conductors_nk.csv"))) {
    const double nm = std::stod(row[1]), n = std::stod(row[2]), k = std::stod(row[3]);
    INFO(row[0] << " at " << nm << " nm");
    CHECK(ReflectanceStraightOn({n, k}) == Approx(std::stod(row[4])).margin(5.1e-5).epsilon(0));
    if (nm < 442.8 || nm > 659.5 || (row[0] == "Al" && nm > 652.25)) continue;
    const RefractiveIndex index = IndexOf(kMetals.at(row[0]), nm);
    CHECK(index.n == Approx(n).epsilon(1e-12));
    CHECK(index.k == Approx(k).epsilon(1e-12));
    ++compared;
  }
  CHECK(compared == 8 * 3 + 6);
}

// Source  the same data, straight between wavelengths, at 650, 550 and 450 nm, worked out apart from this program.
// Limit   5e-4: half the last printed digit of n and k moves F0 by no more.
TEST_CASE("Metals: F0 in red, green and blue", "[ink][published]") {
  const auto check = [](Metal metal, double r, double g, double b) {
    INFO(NameOf(metal));
    const Reflectance f0 = MetalReflectance(metal);
    CHECK(f0.r == Approx(r).margin(5e-4).epsilon(0));
    CHECK(f0.g == Approx(g).margin(5e-4).epsilon(0));
    CHECK(f0.b == Approx(b).margin(5e-4).epsilon(0));
  };
  check(Metal::kGold, 0.9565, 0.7916, 0.4082);
  check(Metal::kSilver, 0.9898, 0.9831, 0.9802);
  check(Metal::kCopper, 0.9352, 0.6235, 0.5383);
}

}  // namespace
}  // namespace wheatpaste
