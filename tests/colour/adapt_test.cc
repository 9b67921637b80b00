#include "colour/adapt.h"

#include <catch2/catch.hpp>

#include "colour/srgb.h"

namespace wheatpaste {
namespace {

// Source  colour-science's tests of von Kries adaptation: Bradford from (0.95045593, 1, 1.08905775) to (0.96429568, 1, 0.82510460)
//         (S07).
// Limit   2e-4: the whites of colour.h are D65 from x, y and the ICC's D50; they differ in the fourth decimal.
TEST_CASE("Adapt: Bradford, D65 to D50", "[colour][published]") {
  const double published[3][3] = {{1.04792979, 0.02294687, -0.05019227},
                                  {0.02962781, 0.99043443, -0.01707380},
                                  {-0.00924304, 0.01505519, 0.75187428}};
  const Xyz columns[3] = {D50FromD65({1, 0, 0}), D50FromD65({0, 1, 0}), D50FromD65({0, 0, 1})};
  for (int i = 0; i < 3; ++i) {
    CHECK(columns[i].x == Approx(published[0][i]).margin(2e-4).epsilon(0));
    CHECK(columns[i].y == Approx(published[1][i]).margin(2e-4).epsilon(0));
    CHECK(columns[i].z == Approx(published[2][i]).margin(2e-4).epsilon(0));
  }
}

// Source  LittleCMS 2.14, relative colorimetric, built-in sRGB: red and 128 gray (S12, S13).
// Limit   0.02: the printed matrix of IEC 61966-2-1 has four decimals.
TEST_CASE("Adapt: Lab of the print trade and back", "[colour][reference]") {
  const Lab red = LabD50FromLinear({1, 0, 0});
  CHECK(red.l == Approx(54.2896).margin(0.02));
  CHECK(red.a == Approx(80.8144).margin(0.05));
  CHECK(red.b == Approx(69.8897).margin(0.05));
  const Lab gray = LabD50FromLinear(LinearFromSrgb(Srgb8{128, 128, 128}));
  CHECK(gray.l == Approx(53.5850).margin(0.02));
  for (const Lab& lab : {Lab{62, 7.5, 22}, Lab{55, -37, -50}, Lab{5, 1, 0}}) {
    const Lab back = LabD50FromLinear(LinearFromLabD50(lab));
    CHECK(back.l == Approx(lab.l).margin(1e-3));
    CHECK(back.a == Approx(lab.a).margin(1e-3));
    CHECK(back.b == Approx(lab.b).margin(1e-3));
  }
}

}  // namespace
}  // namespace wheatpaste
