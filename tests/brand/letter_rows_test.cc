#include "brand/letter_rows.h"

#include <catch2/catch.hpp>

#include "brand/drawing_support.h"
#include "support.h"

namespace wheatpaste {
namespace {

using namespace test;

// Letters as plain shapes of known height: an "n" is an arch, an "o" a ring, an "l" or "d" has an ascender.
std::string Arch(double x, double foot, double height, double width) {
  return fmt::format("<path d=\"M{0} {1}V{2}H{3}V{1}H{4}V{5}H{6}V{1}Z\" fill=\"#0f4a3f\"/>", x,
                     foot, foot - height, x + width, x + 0.75 * width, foot - 0.7 * height,
                     x + 0.25 * width);
}
std::string Stem(double x, double foot, double height, double width) {
  return fmt::format("<path d=\"M{} {}H{}V{}H{}Z\" fill=\"#0f4a3f\"/>", x, foot, x + width,
                     foot - height, x);
}

std::vector<LetterRow> RowsOf(const std::string& inside, double px_per_mm = 20) {
  const FlatDrawing drawing = Drawn(40, 20, inside, px_per_mm);
  REQUIRE(drawing.is_flat());
  return FindLetterRows(drawing, FindShapes(drawing));
}

// Limit  0.03 mm: half a px at 20 px per mm; 0.1 mm at 6.
TEST_CASE("Letters: height of capitals, and x-height beside ascenders", "[brand][closed-form]") {
  const std::string low = Arch(2, 12.02, 3, 2.2) + Arch(5, 12.02, 3, 3.4) +
                          Arch(9.2, 12.02, 3.1, 2) + Arch(12, 12.02, 3, 2.4);
  for (const double density : {20.0, 6.0}) {
    const auto capitals = RowsOf(low, density);
    REQUIRE(capitals.size() == 1);
    CHECK(capitals[0].height_mm == Approx(3).margin(density == 20 ? 0.03 : 0.1));
    CHECK(capitals[0].letters == 4);
    CHECK_FALSE(capitals[0].lower_case);
    CHECK(capitals[0].place.y * 20 == Approx(12.02).margin(0.1));
  }
  const auto lower_case = RowsOf(low + Stem(15.5, 12.02, 4.4, 0.8));
  REQUIRE(lower_case.size() == 1);
  CHECK(lower_case[0].height_mm == Approx(3).margin(0.03));
  CHECK(lower_case[0].lower_case);
}

TEST_CASE("Letters: what is no row of letters", "[brand][invariant]") {
  // Strokes alone: stalks.
  CHECK(RowsOf(Stem(2, 12, 8, 1) + Stem(5, 12, 8.1, 1.6) + Stem(9, 12, 8, 2) + Stem(13, 12, 8, 1.2))
            .empty());
  // All alike: pickets. On a slope. Two only. Too far apart. One behind the other.
  CHECK(RowsOf(Arch(2, 12, 3, 2) + Arch(5, 12, 3, 2) + Arch(8, 12, 3, 2)).empty());
  CHECK(RowsOf(Arch(2, 10, 3, 2) + Arch(5, 11, 3, 3) + Arch(9, 12, 3, 2)).empty());
  CHECK(RowsOf(Arch(2, 12, 3, 2) + Arch(5, 12, 3, 3)).empty());
  CHECK(RowsOf(Arch(2, 12, 3, 2) + Arch(13, 12, 3, 3) + Arch(25, 12, 3, 2)).empty());
}

// Rings and boxes 3 mm high, of different widths: letters. What they enclose is alike in height, differs in width and is none; nor are dots that
// grow along a row.
TEST_CASE("Letters: neither counters nor dots that grow", "[brand][invariant]") {
  const auto letter = [](double x, double width) {
    return fmt::format("<path fill=\"#0f4a3f\" d=\"M{0} 9h{1}v3h-{1}zM{2} 9.7v1.6h{3}v-1.6z\"/>", x,
                       width, x + 0.6, width - 1.2);
  };
  const std::string word = letter(2, 2.2) + letter(5, 3.4) + letter(9.2, 2) + letter(12, 2.8);
  const std::string ground = "<path fill=\"#f6edd8\" d=\"M0 0h38v20h-38z\"/>";
  // The page is clear at its right, so that the ground's colour is one among others.
  const FlatDrawing drawing = Drawn(40, 20, ground + word, 20, {kCream});
  const auto rows = FindLetterRows(drawing, FindShapes(drawing));
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].height_mm == Approx(3).margin(0.03));
  CHECK(rows[0].part == 0);
  std::string dots;
  for (int i = 0; i < 9; ++i) {
    dots += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#0f4a3f\"/>", 3 + 3.87 * i,
                        10 - 0.04 * i, 0.9 + 0.04 * i);
  }
  for (const double density : {20.0, 12.0, 8.0}) CHECK(RowsOf(dots, density).empty());
}

// The sample's README: its smallest lettering is set in 3.0 mm (8.5 pt) of Manrope, whose small letters are 0.54 em high,
// rounds a little more (from memory): 1.62 mm.
TEST_CASE("Letters: the smallest lettering of a poster", "[brand][numbers]") {
  auto art = ReadArtwork({SourcePath("assets-open/quillwort/poster.svg"), {}, ""});
  REQUIRE(art.ok());
  auto colours = MainColours(**art);
  REQUIRE(colours.ok());
  auto drawing = DrawFlat(**art, {420, 594}, *colours);
  REQUIRE(drawing.ok());
  const auto rows = FindLetterRows(*drawing, FindShapes(*drawing));
  REQUIRE(!rows.empty());
  CHECK(rows.front().lower_case);
  // Half a px of the drawing is 0.12 mm.
  CHECK(rows.front().height_mm == Approx(1.62).margin(0.12));
}

}  // namespace
}  // namespace wheatpaste
