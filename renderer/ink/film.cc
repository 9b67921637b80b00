#include "ink/film.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace wheatpaste {
namespace {

constexpr int kHalvings = 80;
// Of a layer of thickness 1; beyond, nothing shows through, and nothing comes back.
constexpr double kMostScattering = 200, kMostAbsorption = 1e6;

// x in [low, high] where `function`, which falls, passes 0.
template <typename Function>
double Root(double low, double high, const Function& function) {
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = (low + high) / 2;
    (function(middle) > 0 ? low : high) = middle;
  }
  return (low + high) / 2;
}

double MeasuredOver(const Film& film, double measured_ground) {
  return MeasuredFromInside(film.Over(InsideFromMeasured(measured_ground)));
}

}  // namespace

Film FilmOf(double absorption, double scattering, double thickness) {
  const double k = absorption * thickness, s = scattering * thickness;
  if (s <= 0) return {0, std::exp(-k)};
  if (k <= 0) return {s / (1 + s), 1 / (1 + s)};
  const double a = 1 + k / s, b = std::sqrt(a * a - 1), x = b * s;
  if (x > 300) return {a - b, 0};  // cosh would leave the range of double
  const double sinh = std::sinh(x), cosh = std::cosh(x), nether = a * sinh + b * cosh;
  return {sinh / nether, b / nether};
}

double EndlessReflectance(double ratio) {
  const double a = 1 + ratio;
  return a - std::sqrt(a * a - 1);
}

double AbsorptionOverScattering(double r) { return (1 - r) * (1 - r) / (2 * r); }

double MeasuredFromInside(double inside) {
  return (1 - kMirroredOutside) * (1 - kMirroredInside) * inside / (1 - kMirroredInside * inside);
}

double InsideFromMeasured(double measured) {
  const double inside =
      measured / ((1 - kMirroredOutside) * (1 - kMirroredInside) + kMirroredInside * measured);
  return std::min(inside, 0.9999);
}

InkSystem::InkSystem(double hiding, double white) {
  WHEATPASTE_CHECK(hiding >= 0 && hiding <= 0.995 && white > 0 && white <= 0.98);
  // A white whose endless layer returns `white`, made to scatter until it hides as stated.
  const double ratio = AbsorptionOverScattering(InsideFromMeasured(white));
  const auto white_film = [ratio](double s) { return FilmOf(ratio * s, s, 1); };
  const double scattering = hiding <= 0 ? 0 : Root(0, kMostScattering, [&](double s) {
    const Film film = white_film(s);
    return hiding - MeasuredOver(film, 0) / MeasuredOver(film, kReferencePaper);
  });
  const double brightest = MeasuredOver(white_film(scattering), kReferencePaper);
  films_.reserve(kSteps + 1);
  for (int i = 0; i <= kSteps; ++i) {
    const double look = std::max(kDarkest, static_cast<double>(i) / kSteps);
    if (i == kSteps) {
      films_.push_back(white_film(scattering));
      continue;
    }
    const double absorption = Root(0, kMostAbsorption, [&](double k) {
      return MeasuredOver(FilmOf(k, scattering, 1), kReferencePaper) - look * brightest;
    });
    films_.push_back(FilmOf(absorption, scattering, 1));
  }
}

Film InkSystem::FilmFor(double look) const {
  const double at = std::clamp(look, 0.0, 1.0) * kSteps;
  const int k = std::min(static_cast<int>(at), kSteps - 1);
  const double t = at - k;
  const Film &low = films_[static_cast<size_t>(k)], &high = films_[static_cast<size_t>(k) + 1];
  return {low.reflectance + t * (high.reflectance - low.reflectance),
          low.transmittance + t * (high.transmittance - low.transmittance)};
}

}  // namespace wheatpaste
