#include "light/dichromatic.h"

#include <catch2/catch.hpp>

#include <cmath>

namespace wheatpaste {
namespace {

// Source  shared check D01: computed from Shafer's model, d = 0.8, s = 0.1; condition 11.8 as the reference gives it.
TEST_CASE("Dichromatic: the worked example splits exactly", "[light][published]") {
  const Dichromatic split = SplitDichromatic({0.46, 0.364, 0.276}, {0.45, 0.33, 0.22}, {1, 1, 1});
  CHECK(split.body == Approx(0.8).margin(1e-12));
  CHECK(split.mirror == Approx(0.1).margin(1e-12));
  CHECK(split.condition == Approx(11.8).margin(0.05));
}

TEST_CASE("Dichromatic: a neutral albedo has no bound on its condition", "[light][closed-form]") {
  CHECK(std::isinf(SplitDichromatic({0.5, 0.5, 0.5}, {0.8, 0.8, 0.8}, {1, 1, 1}).condition));
}

TEST_CASE("Dichromatic: kraft and red have a colour, white and cotton have none",
          "[light][closed-form]") {
  CHECK(HasColour({0.42, 0.28, 0.16}));
  CHECK(HasColour({0.36, 0.06, 0.025}));
  CHECK(!HasColour({0.8, 0.79, 0.78}));
  CHECK(!HasColour({0.78, 0.70, 0.56}));
}

}  // namespace
}  // namespace wheatpaste
