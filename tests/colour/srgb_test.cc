#include "colour/srgb.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

// Source  IEC 61966-2-1 (S01, S03, S04); colour-science/colour test_srgb.py (S02).
// Taken   S01-S04. Limits   1e-9 and, for S02, 1e-12, as listed.
TEST_CASE("sRGB: published values", "[colour][published]") {
  CHECK(LinearFromSrgb(128.0 / 255) == Approx(0.2158605001).margin(1e-9));
  CHECK(SrgbFromLinear(0.18) == Approx(0.461356129500442).margin(1e-12));
  CHECK(SrgbFromLinear(0.5) == Approx(0.7353569831).margin(1e-9));
  CHECK(LinearFromSrgb(0.5) == Approx(0.2140411405).margin(1e-9));
  CHECK(LinearFromSrgb(10.0 / 255) == Approx(0.0030352698).margin(1e-9));
  CHECK(LinearFromSrgb(11.0 / 255) == Approx(0.0033465358).margin(1e-9));
}

// The two branches of the standard meet only to about 3e-8 (its constants are rounded).
TEST_CASE("sRGB: encoding undoes decoding, also beyond the range", "[colour][closed-form]") {
  double worst = 0;
  for (double v = -1.5; v <= 2; v += 1e-3) {
    worst = std::max(worst, std::abs(SrgbFromLinear(LinearFromSrgb(v)) - v));
    CHECK(LinearFromSrgb(-v) == -LinearFromSrgb(v));
  }
  CHECK(worst < 1e-7);
}

// Source  CIE 15:2018, 8.2.1: the white has L* = 100, a* = b* = 0; 18.42 % reflects L* = 50.
TEST_CASE("Lab: white, black and middle grey", "[colour][closed-form]") {
  const Lab white = LabFromXyz(kWhiteD65, kWhiteD65);
  CHECK(white.l == Approx(100).margin(1e-12));
  CHECK(white.a == Approx(0).margin(1e-12));
  CHECK(white.b == Approx(0).margin(1e-12));
  CHECK(LabFromXyz({0, 0, 0}, kWhiteD65).l == Approx(0).margin(1e-12));
  const double y = std::pow(66.0 / 116, 3);
  const Lab grey = LabFromXyz({y * kWhiteD65.x, y, y * kWhiteD65.z}, kWhiteD65);
  CHECK(grey.l == Approx(50).margin(1e-12));
  // Grey of the working space is grey in Lab. Limit: the four printed decimals of the matrix.
  const Lab working = LabFromLinear({0.4f, 0.4f, 0.4f});
  CHECK(std::abs(working.a) < 0.02);
  CHECK(std::abs(working.b) < 0.02);
}

}  // namespace
}  // namespace wheatpaste
