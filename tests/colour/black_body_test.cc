#include "colour/black_body.h"

#include <catch2/catch.hpp>

#include <cmath>

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

TEST_CASE("Black body: luminance is 1, no part is below 0", "[colour][invariant]") {
  for (const double kelvin : {1667.0, 2222.0, 3999.9, 4000.0, 25000.0}) {
    const Reflectance c = BlackBodyColour(kelvin);
    CHECK(Luminance(c.r, c.g, c.b) == Approx(1));
    CHECK(c.b >= 0);
  }
}

TEST_CASE("Black body: at 6504 K it lies 0.0032 below daylight of that temperature",
          "[colour][published]") {
  // Source  CIE 15: D65's chromaticity 0.31272, 0.32903 (CIE 1931). Its distance from the Planckian locus in the CIE 1960 u, v diagram, Duv,
  //         is 0.0032 (ANSI C78.377, from memory). The colour is taken back to x, y by the inverse of IEC 61966-2-1's matrix.
  // Limit   0.0003: the published figure has two digits; the fit of the locus is cubic.
  const Reflectance c = BlackBodyColour(6504);
  const double x = 0.4124 * c.r + 0.3576 * c.g + 0.1805 * c.b;
  const double y = 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
  const double z = 0.0193 * c.r + 0.1192 * c.g + 0.9505 * c.b;
  const Chromaticity locus = BlackBodyChromaticity(6504);
  CHECK(x / (x + y + z) == Approx(locus.x).margin(1e-4));
  CHECK(y / (x + y + z) == Approx(locus.y).margin(1e-4));
  const auto u = [](double cx, double cy) { return 4 * cx / (-2 * cx + 12 * cy + 3); };
  const auto v = [](double cx, double cy) { return 6 * cy / (-2 * cx + 12 * cy + 3); };
  const double across = u(locus.x, locus.y) - u(0.31272, 0.32903),
               along = v(locus.x, locus.y) - v(0.31272, 0.32903);
  CHECK(std::hypot(across, along) == Approx(0.0032).margin(3e-4));
  CHECK(along < 0);
}

}  // namespace wheatpaste
