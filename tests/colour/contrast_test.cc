#include "colour/contrast.h"

#include <catch2/catch.hpp>

#include "colour/srgb.h"

namespace wheatpaste {
namespace {

double LuminanceOf(int r, int g, int b) {
  return Luminance(LinearFromSrgb(r / 255.0), LinearFromSrgb(g / 255.0), LinearFromSrgb(b / 255.0));
}

// Source  WCAG 2.1, worked with its own definition (S09, S10); the pair of colours and its ratio: the worked example
//         of a ratio calculator's documentation, to all printed digits (S11).
// Limit   half the last printed digit; S11's to 1e-9.
TEST_CASE("Contrast: worked values of the definition", "[colour][published]") {
  const double white = LuminanceOf(255, 255, 255);
  const auto on_white = [&](int r, int g, int b) {
    return ContrastRatio(LuminanceOf(r, g, b), white);
  };
  CHECK(on_white(0x77, 0x77, 0x77) == Approx(4.478089).margin(5e-7));
  CHECK(on_white(0x76, 0x76, 0x76) == Approx(4.542225).margin(5e-7));
  CHECK(on_white(0x59, 0x59, 0x59) == Approx(7.004729).margin(5e-7));
  CHECK(on_white(0x94, 0x94, 0x94) == Approx(3.033470).margin(5e-7));
  CHECK(on_white(255, 0, 0) == Approx(3.998477).margin(5e-7));
  CHECK(on_white(0, 0, 255) == Approx(8.592471).margin(5e-7));
  CHECK(on_white(0, 0, 0) == Approx(21).margin(1e-9));
  CHECK(LuminanceOf(255, 129, 0) == Approx(0.36960513804637335).margin(1e-12));
  CHECK(ContrastRatio(LuminanceOf(255, 129, 0), LuminanceOf(100, 0, 58)) ==
        Approx(5.235369975583679).margin(1e-9));
}

// Closed form: (0.8 + 0.05) / (0.15 + 0.05); no order, no colour stronger than black, what lies outside the primaries.
TEST_CASE("Contrast: of reflectances", "[colour][closed-form]") {
  const SceneLinear paper{0.8f, 0.8f, 0.8f}, ink{0.15f, 0.15f, 0.15f};
  CHECK(ContrastRatio(paper, ink) == Approx(4.25).epsilon(1e-6));
  CHECK(ContrastRatio(ink, paper) == ContrastRatio(paper, ink));
  CHECK(ContrastRatio(ink, ink) == 1);
  CHECK(ContrastRatio(SceneLinear{-0.5f, -0.1f, 0}, paper) == Approx(0.85 / 0.05).epsilon(1e-6));
}

}  // namespace
}  // namespace wheatpaste
