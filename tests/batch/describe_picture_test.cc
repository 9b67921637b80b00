#include "batch/describe_picture.h"

#include <catch2/catch.hpp>

#include "composite/proof_artwork.h"
#include "scene/print_condition.h"
#include "support.h"

namespace wheatpaste {
namespace {

// Source  B. Lindbloom, CIE Color Calculator (from memory), sRGB adapted to D50 by Bradford: red 54.29 80.81 69.89,
//         green 87.82 -79.27 80.99, blue 29.57 68.30 -112.03.
// Limit   0.02: two decimals there and here, and the matrix of XYZ to four.
TEST_CASE("Colours of a record: Lab under D50 as published, named by the first swatch",
          "[batch][published]") {
  const std::vector<Swatch> swatches = {
      {"signal", {255, 0, 0}, {}}, {"other", {255, 0, 0}, {}}, {"sea", {0, 0, 255}, {}}};
  const auto records = ColoursOf(
      {{{255, 0, 0}, 0.5}, {{0, 255, 0}, 0.25}, {{0, 0, 255}, 0.1}, {{255, 255, 255}, 0.1}},
      swatches, {});
  REQUIRE(records.size() == 4);
  const std::vector<std::array<double, 3>> published = {
      {54.29, 80.81, 69.89}, {87.82, -79.27, 80.99}, {29.57, 68.30, -112.03}, {100, 0, 0}};
  const std::vector<std::string> names = {"signal", "", "sea", ""};
  for (size_t i = 0; i < 4; ++i) {
    INFO(records[i].srgb);
    CHECK(records[i].name == names[i]);
    for (size_t k = 0; k < 3; ++k) CHECK(std::abs(records[i].lab[k] - published[i][k]) <= 0.02);
    CHECK_FALSE(records[i].cmyk_percent);
    CHECK_FALSE(records[i].printed_lab);
    CHECK_FALSE(records[i].shift);
  }
  CHECK(records[1].srgb == "#00ff00");
}

TEST_CASE(
    "Colours of a record: under a condition paper takes no ink and shifts by nothing; twelve "
    "at the most",
    "[batch][invariant]") {
  const auto condition = FindPrintCondition({"coated offset", {}, ""}, test::SourcePath("."));
  REQUIRE(condition.ok());
  const auto press = ReadPress(*condition);
  REQUIRE(press.ok());
  const auto white = ColoursOf({{{255, 255, 255}, 1}}, {}, *press);
  CHECK(white[0].cmyk_percent == std::array<double, 4>{});
  CHECK(*white[0].shift < 0.1);
  CHECK((*white[0].printed_lab)[0] == Approx(100).margin(0.05));
  std::vector<MainColour> many;
  for (uint8_t i = 0; i < 24; ++i) many.push_back({{i, 0, 0}, 0.01});
  CHECK(ColoursOf(many, {}, {}).size() == kMostRecordedColours);
}

}  // namespace
}  // namespace wheatpaste
