#include "colour/black_body.h"

#include <algorithm>

#include "base/check.h"

namespace wheatpaste {

Chromaticity BlackBodyChromaticity(double kelvin) {
  WHEATPASTE_CHECK(kelvin >= kLeastKelvin && kelvin <= kMostKelvin);
  const double t = 1e3 / kelvin;
  const double x = kelvin < 4000 ? ((-0.2661239 * t - 0.2343589) * t + 0.8776956) * t + 0.179910
                                 : ((-3.0258469 * t + 2.1070379) * t + 0.2226347) * t + 0.240390;
  if (kelvin < 2222) {
    return {x, ((-1.1063814 * x - 1.34811020) * x + 2.18555832) * x - 0.20219683};
  }
  if (kelvin < 4000) {
    return {x, ((-0.9549476 * x - 1.37418593) * x + 2.09137015) * x - 0.16748867};
  }
  return {x, ((3.0817580 * x - 5.87338670) * x + 3.75112997) * x - 0.37001483};
}

Reflectance BlackBodyColour(double kelvin) {
  const Chromaticity c = BlackBodyChromaticity(kelvin);
  const double x = c.x / c.y, z = (1 - c.x - c.y) / c.y;
  // XYZ to linear Rec.709 (IEC 61966-2-1), Y = 1.
  const double r = 3.2406 * x - 1.5372 - 0.4986 * z;
  const double g = -0.9689 * x + 1.8758 + 0.0415 * z;
  const double b = 0.0557 * x - 0.2040 + 1.0570 * z;
  const Reflectance colour{std::max(r, 0.0), std::max(g, 0.0), std::max(b, 0.0)};
  const double y = Luminance(colour.r, colour.g, colour.b);
  return {colour.r / y, colour.g / y, colour.b / y};
}

}  // namespace wheatpaste
