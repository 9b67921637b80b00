#include "colour/difference.h"

#include <catch2/catch.hpp>

#include "support.h"

namespace wheatpaste {
namespace {

// Source  Sharma, Wu, Dalal 2005, Color Res. Appl. 30(1), 21-30, doi:10.1002/col.20070, Table I, as carried
//         by scikit-image (tests/skimage/color/ciede2000_test_data.txt).
// Taken   all 34 pairs, in tests/published/ciede2000_sharma_2005.csv.
// Limit   1e-4: the last printed digit. Sum of all: 183.1864, 0.001 (S05, S06).
// Note    pairs 10 and 14 lie on a branch (hues 180 degrees apart to the last bit).
TEST_CASE("CIEDE2000: the 34 published pairs", "[colour][published]") {
  const auto rows = test::ReadCsv(test::SourcePath("tests/published/ciede2000_sharma_2005.csv"));
  REQUIRE(rows.size() == 34);
  double sum = 0;
  for (const auto& row : rows) {
    INFO("pair " << row[0]);
    const Lab first{std::stod(row[1]), std::stod(row[2]), std::stod(row[3])};
    const Lab second{std::stod(row[4]), std::stod(row[5]), std::stod(row[6])};
    const double expected = std::stod(row[7]);
    CHECK(DeltaE2000(first, second) == Approx(expected).margin(1e-4));
    CHECK(DeltaE2000(second, first) == Approx(expected).margin(1e-4));
    CHECK(DeltaE2000(first, first) == 0);
    sum += DeltaE2000(first, second);
  }
  CHECK(sum == Approx(183.1864).margin(0.001));
}

}  // namespace
}  // namespace wheatpaste
