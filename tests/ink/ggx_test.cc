#include "ink/ggx.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

// Integral of value(i) over all ways in, i, by the angles of the facet that turns o into i: i is spread as finely as the
// facets' lobe is.
template <typename Value>
double OverWaysIn(double o_z, const Value& value) {
  constexpr int kHeights = 2000, kTurns = 200;
  const double o_x = std::sqrt(1 - o_z * o_z);
  double sum = 0;
  for (int j = 0; j < kHeights; ++j) {
    const double tilt = std::numbers::pi / 2 * (j + 0.5) / kHeights;
    const double h_z = std::cos(tilt), h_xy = std::sin(tilt);
    for (int k = 0; k < kTurns; ++k) {
      const double turn = std::numbers::pi * (k + 0.5) / kTurns;
      const double o_h = o_x * h_xy * std::cos(turn) + o_z * h_z;
      if (o_h <= 0) continue;
      // d i = 4 (o . h) d h; both halves of the turn.
      sum += value(h_z) * 4 * o_h * h_xy * 2;
    }
  }
  return sum * (std::numbers::pi / 2 / kHeights) * (std::numbers::pi / kTurns);
}

// Source  Heitz 2014, JCGT 3(2): the integral of G1 D / (4 |o_z|) over all ways in is 1.
// Limit   1e-4.
TEST_CASE("GGX: the weak white furnace", "[ink][published]") {
  for (const double alpha : {0.1, 0.5, 1.0}) {
    for (const double o_z : {0.2, 0.5, 1.0}) {
      INFO("alpha " << alpha << ", cosine " << o_z);
      const double g1 = FacetShadow(o_z, alpha);
      const double sum =
          OverWaysIn(o_z, [&](double h_z) { return g1 * FacetDensity(h_z, alpha) / (4 * o_z); });
      CHECK(sum == Approx(1).margin(1e-4).epsilon(0));
    }
  }
}

// Source  closed form 1 - ln 2 for alpha = 1 seen straight on; the others by quadrature apart from this program.
// Limit   1e-4; 5e-4 (four printed digits and both quadratures).
TEST_CASE("GGX: share of even light that comes straight back", "[ink][closed-form]") {
  CHECK(FacetAlbedoOf(1, 1).one == Approx(1 - std::log(2.0)).margin(1e-4).epsilon(0));
  const double cosines[] = {0.1, 0.3, 0.5, 0.7, 1};
  const double half[] = {0.8601, 0.7453, 0.6983, 0.6830, 0.6878};
  const double quarter[] = {0.8916, 0.8379, 0.8573, 0.8853, 0.9158};
  for (size_t k = 0; k < 5; ++k) {
    INFO("cosine " << cosines[k]);
    CHECK(FacetAlbedoOf(cosines[k], 0.5).one == Approx(half[k]).margin(5e-4).epsilon(0));
    CHECK(FacetAlbedoOf(cosines[k], 0.25).one == Approx(quarter[k]).margin(5e-4).epsilon(0));
  }
}

// Limit  2e-3: straight lines between 64 entries.
TEST_CASE("GGX: the table follows the integral", "[ink][twin]") {
  const FacetAlbedoTable table(0.12);
  for (const double o_z : {0.05, 0.33, 0.71, 1.0}) {
    INFO("cosine " << o_z);
    const FacetAlbedo exact = FacetAlbedoOf(o_z, 0.12);
    CHECK(table.At(o_z).one == Approx(exact.one).margin(2e-3).epsilon(0));
    CHECK(table.At(o_z).schlick == Approx(exact.schlick).margin(2e-3).epsilon(0));
  }
}

// Source  with F = 1 nothing is lost: what is mirrored again keeps all.
TEST_CASE("GGX: light mirrored again is lost only to the metal", "[ink][closed-form]") {
  CHECK(MirroredAgain(1, 0.4) == Approx(1).epsilon(1e-12));
  CHECK(MirroredAgain(0.5, 0.4) < 0.5);
}

}  // namespace
}  // namespace wheatpaste
