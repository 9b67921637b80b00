#include "colour/black_body.h"

#include <catch2/catch.hpp>

namespace wheatpaste {

TEST_CASE("Black body: illuminant A and points of the locus", "[colour][published]") {
  // Source  CIE 15:2018: illuminant A (2855.5 K) 0.44758, 0.40745. Points of the locus: Wyszecki, Stiles 1982, table 1(3.11):
  //         2000 K 0.5267 0.4133, 5000 K 0.3451 0.3516, 6500 K 0.3135 0.3237, 10000 K 0.2807 0.2884 (from memory).
  // Limit   0.0005: the fits of the source are cubic.
  const double rows[][3] = {{2855.5, 0.44758, 0.40745},
                            {2000, 0.5267, 0.4133},
                            {5000, 0.3451, 0.3516},
                            {6500, 0.3135, 0.3237},
                            {10000, 0.2807, 0.2884}};
  for (const auto& row : rows) {
    INFO(row[0]);
    const Chromaticity c = BlackBodyChromaticity(row[0]);
    CHECK(c.x == Approx(row[1]).margin(5e-4));
    CHECK(c.y == Approx(row[2]).margin(5e-4));
  }
}

TEST_CASE("Black body: luminance is 1 and 6504 K is nearly white", "[colour][invariant]") {
  for (const double kelvin : {1667.0, 2222.0, 3999.9, 4000.0, 25000.0}) {
    const Reflectance c = BlackBodyColour(kelvin);
    CHECK(Luminance(c.r, c.g, c.b) == Approx(1));
    CHECK(c.b >= 0);
  }
  const Reflectance white = BlackBodyColour(6504);
  CHECK(white.r == Approx(1).margin(0.03));
  CHECK(white.g == Approx(1).margin(0.03));
  CHECK(white.b == Approx(1).margin(0.03));
}

}  // namespace wheatpaste
