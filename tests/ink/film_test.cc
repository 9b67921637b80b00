#include "ink/film.h"

#include <catch2/catch.hpp>

#include <cmath>

namespace wheatpaste {
namespace {

struct Worked {
  double k, s, ground, reflectance;
};

// dR/dX = S - 2 (K + S) R + S R^2 from R(0) = Rg, by the classic Runge-Kutta method in 2000 steps.
double Integrate(double k, double s, double x, double ground) {
  const auto slope = [&](double r) { return s - 2 * (k + s) * r + s * r * r; };
  constexpr int kStepCount = 2000;
  const double h = x / kStepCount;
  double r = ground;
  for (int i = 0; i < kStepCount; ++i) {
    const double a = slope(r), b = slope(r + h / 2 * a), c = slope(r + h / 2 * b),
                 d = slope(r + h * c);
    r += h / 6 * (a + 2 * b + 2 * c + d);
  }
  return r;
}

// Source  Kubelka 1948; worked values of the closed form, which its differential equation gives too (M01 to M04).
// Limit   1e-9: the printed digits.
TEST_CASE("Film: Kubelka-Munk's worked values", "[ink][published]") {
  const Worked rows[] = {{0.2, 1, 0.8, 0.618480869},
                         {0.05, 2, 0.25, 0.670391916},
                         {1.5, 0.1, 0.8, 0.063556934},
                         {1.5, 0.1, 0.25, 0.040311323},
                         {0, 2, 0.25, 0.7}};
  for (const Worked& row : rows) {
    INFO("K " << row.k << " S " << row.s << " on " << row.ground);
    CHECK(FilmOf(row.k, row.s, 1).Over(row.ground) == Approx(row.reflectance).margin(1e-9));
  }
}

TEST_CASE("Film: agrees with its differential equation integrated", "[ink][reference]") {
  for (const double k : {0.0, 0.05, 0.5, 3.0}) {
    for (const double s : {0.0, 0.1, 1.0, 6.0}) {
      for (const double x : {0.3, 1.0, 2.0}) {
        for (const double ground : {0.0, 0.25, 0.9}) {
          INFO("K " << k << " S " << s << " X " << x << " Rg " << ground);
          CHECK(FilmOf(k, s, x).Over(ground) ==
                Approx(Integrate(k, s, x, ground)).margin(1e-9).epsilon(0));
        }
      }
    }
  }
}

// Source  Kubelka 1948, 1954; M05, M06. White on kraft, and dark ink on it: worked from the closed form.
TEST_CASE("Film: endless layers, stacks and parts", "[ink][published]") {
  CHECK(AbsorptionOverScattering(0.5) == Approx(0.25));
  CHECK(EndlessReflectance(0.25) == Approx(0.5));
  const Film film = FilmOf(0.2, 1, 1);
  CHECK(film.reflectance == Approx(0.426887577).margin(1e-9));
  CHECK(film.transmittance == Approx(0.397118143).margin(1e-9));
  const double white_on_kraft = FilmOf(0.05, 4, 1).Over(0.25);
  CHECK(white_on_kraft == Approx(0.782208).margin(1e-6));
  CHECK(FilmOf(1.5, 0.1, 1).Over(white_on_kraft) == Approx(0.062793).margin(1e-6));
  // A layer cut in two is the same layer.
  const Film half = FilmOf(0.2, 1, 0.5);
  CHECK(half.Over(half.Over(0.3)) == Approx(film.Over(0.3)).margin(1e-12));
  // Nothing shows through a very thick one, and nothing overflows.
  CHECK(FilmOf(0.3, 1, 5000).Over(0.9) == Approx(EndlessReflectance(0.3)).margin(1e-12));
}

// Source  Saunderson 1942; worked values with the mirrored light counted (M07): 0 -> 0.04, 0.5 -> 0.314285714, 0.9 ->
//         0.791304348.
TEST_CASE("Film: the surface's correction", "[ink][published]") {
  CHECK(kMirroredOutside + MeasuredFromInside(0) == Approx(0.04));
  CHECK(kMirroredOutside + MeasuredFromInside(0.5) == Approx(0.314285714).margin(1e-9));
  CHECK(kMirroredOutside + MeasuredFromInside(0.9) == Approx(0.791304348).margin(1e-9));
  for (const double r : {0.0, 0.1, 0.5, 0.9}) {
    CHECK(MeasuredFromInside(InsideFromMeasured(r)) == Approx(r).margin(1e-12));
  }
}

// Definition of hiding: over black by over white paper.
TEST_CASE("InkSystem: white hides as stated and looks are met on the reference paper",
          "[ink][closed-form]") {
  for (const double hiding : {0.0, 0.3, 0.75, 0.97}) {
    const InkSystem system(hiding, 0.85);
    const auto over = [&](double look, double ground) {
      return MeasuredFromInside(system.FilmFor(look).Over(InsideFromMeasured(ground)));
    };
    INFO("hiding " << hiding);
    const double white = over(1, kReferencePaper);
    CHECK(over(1, 0) / white == Approx(hiding).margin(1e-6));
    for (const double look : {0.02, 0.2, 0.5, 0.8}) {
      CHECK(over(look, kReferencePaper) == Approx(look * white).margin(2e-4));
    }
    // Clear ink on the paper of its look is exactly its look; on nothing it is nothing.
    if (hiding == 0) {
      CHECK(white == Approx(kReferencePaper).margin(1e-9));
      CHECK(over(0.5, 0) == 0);
    }
  }
}

}  // namespace
}  // namespace wheatpaste
