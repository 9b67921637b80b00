#include "geometry/lens.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <random>

namespace wheatpaste {
namespace {

constexpr PhotoPx kPrincipal{320, 240};

TEST_CASE("Lens: the model at points worked out by hand", "[geometry][closed-form]") {
  // r = 0.5 : 1 + 0.2 * 0.25 + 0.4 * 0.0625 = 1.075.
  const Lens lens{500, kPrincipal, 0.2, 0.4};
  const PhotoPx bent = lens.PhotoFromIdeal({320 + 150, 240 + 200});
  CHECK(bent.x == Approx(320 + 150 * 1.075).epsilon(1e-14));
  CHECK(bent.y == Approx(240 + 200 * 1.075).epsilon(1e-14));
  CHECK(lens.PhotoFromIdeal(kPrincipal) == kPrincipal);
  CHECK(lens.IdealFromPhoto(kPrincipal) == kPrincipal);
}

TEST_CASE("Lens: without bend both ways are the identity", "[geometry][closed-form]") {
  const Lens lens{500, kPrincipal, 0, 0};
  CHECK(lens.is_straight());
  const PhotoPx p{17.123456789, 401.987654321};
  CHECK(lens.IdealFromPhoto(p) == p);
  CHECK(lens.PhotoFromIdeal(p) == p);
}

// Barrel, pincushion, and a moustache whose terms work against each other.
TEST_CASE("Lens: there and back within 1e-9 px up to where the model turns",
          "[geometry][closed-form]") {
  std::mt19937 random(71);
  std::uniform_real_distribution<double> share(0, 1), angle(0, 6.283);
  const Lens lenses[] = {{536, kPrincipal, -0.28, 0.08},
                         {536, kPrincipal, 0.15, 0},
                         {536, kPrincipal, -0.2, 0},
                         {536, kPrincipal, 0.1, -0.05},
                         {536, kPrincipal, -0.3, 0.3}};
  for (const Lens& lens : lenses) {
    CAPTURE(lens.k1, lens.k2);
    const double most = std::min(0.98 * lens.MostRadius(), 1.2);
    for (int i = 0; i < 200; ++i) {
      const double r = lens.focal_px * most * share(random);
      const double a = angle(random);
      const PhotoPx ideal{kPrincipal.x + r * std::cos(a), kPrincipal.y + r * std::sin(a)};
      const PhotoPx back = lens.IdealFromPhoto(lens.PhotoFromIdeal(ideal));
      CHECK(std::hypot(back.x - ideal.x, back.y - ideal.y) < 1e-9);
    }
  }
}

TEST_CASE("Lens: the radius at which the model turns back", "[geometry][closed-form]") {
  // d/dr (r - r^3 / 3) = 0 at r = 1.
  CHECK(Lens{1, {}, -1.0 / 3, 0}.MostRadius() == Approx(1));
  // d/dr (r - r^5 / 5) = 0 at r = 1.
  CHECK(Lens{1, {}, 0, -0.2}.MostRadius() == Approx(1));
  CHECK(Lens{1, {}, 0.1, 0}.MostRadius() == std::numeric_limits<double>::infinity());
  CHECK(Lens{1, {}, 0.1, 0.1}.MostRadius() == std::numeric_limits<double>::infinity());
}

TEST_CASE("Lens: beyond what it can show the inverse stays at the last radius",
          "[geometry][bad-input]") {
  // At most 2/3 focal lengths are reached, at r = 1.
  const Lens lens{500, kPrincipal, -1.0 / 3, 0};
  const PhotoPx far = lens.IdealFromPhoto({320 + 450, 240});
  CHECK(far.x == Approx(320 + 500).margin(1e-4));
  CHECK(far.y == Approx(240));
}

}  // namespace
}  // namespace wheatpaste
