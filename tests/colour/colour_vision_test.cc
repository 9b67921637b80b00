// Source  the authors' 33 matrices of Machado, Oliveira, Fernandes 2009 (doi:10.1109/TVCG.2009.113), as
//         colour-science (BSD-3-Clause) republishes them.
// Taken   all, in tests/published/colour_vision_machado_2009.csv.
#include <algorithm>
#include <string>

#include <catch2/catch.hpp>

#include "colour/colour_vision.h"
#include "colour/srgb.h"
#include "support.h"

namespace wheatpaste {
namespace {

const std::string kNames[] = {"Protanomaly", "Deuteranomaly", "Tritanomaly"};

}  // namespace

// Limit  1e-12: the table's own decimals, through one interpolation.
TEST_CASE("Colour vision: the 33 published matrices, rows that keep grey", "[colour][published]") {
  const auto rows =
      test::ReadCsv(test::SourcePath("tests/published/colour_vision_machado_2009.csv"));
  REQUIRE(rows.size() == 33);
  for (const auto& row : rows) {
    const auto* name = std::find(std::begin(kNames), std::end(kNames), row[0]);
    REQUIRE(name != std::end(kNames));
    const auto deficiency = static_cast<ColourDeficiency>(name - std::begin(kNames));
    const Matrix3 seen = SeenMatrix(deficiency, std::stod(row[1]));
    CAPTURE(row[0], row[1]);
    for (size_t i = 0; i < 3; ++i) {
      for (size_t j = 0; j < 3; ++j) {
        CHECK(seen[i][j] == Approx(std::stod(row[2 + 3 * i + j])).margin(1e-12));
      }
      CHECK(seen[i][0] + seen[i][1] + seen[i][2] == Approx(1).margin(1.5e-6));
    }
  }
}

// Source  computed by colour-science from the published matrix: sRGB red to 8-bit (109, 95, 0).
TEST_CASE("Colour vision: red as a protanope sees it", "[colour][published]") {
  const auto seen =
      SrgbFromLinear(SeenWith(ColourDeficiency::kProtan, 1, LinearFromSrgb(Srgb8{255, 0, 0})));
  CHECK(seen == Srgb8{109, 95, 0});
}

TEST_CASE("Colour vision: severity 0 changes no bit, half a step is the mean",
          "[colour][closed-form]") {
  const SceneLinear shown{0.1f, 0.7f, 1.3f};
  for (const auto one :
       {ColourDeficiency::kProtan, ColourDeficiency::kDeutan, ColourDeficiency::kTritan}) {
    const SceneLinear seen = SeenWith(one, 0, shown);
    CHECK(seen.r == shown.r);
    CHECK(seen.g == shown.g);
    CHECK(seen.b == shown.b);
    const double half = SeenMatrix(one, 0.35)[0][1];
    CHECK(half == Approx((SeenMatrix(one, 0.3)[0][1] + SeenMatrix(one, 0.4)[0][1]) / 2));
  }
}

}  // namespace wheatpaste
