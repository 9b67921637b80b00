// units.h - lengths, densities and angles at interfaces.
#pragma once

#include <numbers>

namespace wheatpaste {

inline constexpr double kMmPerInch = 25.4;  // exact by definition (international inch, 1959)
inline constexpr double kPointsPerInch = 72.0;
inline constexpr double kCssPxPerInch = 96.0;  // CSS Values and Units, section 6.2

struct Mm {
  double value = 0;
};

// Pixels per inch at printed size.
struct Ppi {
  double value = 0;
};

struct Rad {
  double value = 0;
};

inline constexpr double kDegreesPerRad = 180.0 / std::numbers::pi;
inline constexpr Rad RadFromDegrees(double degrees) { return {degrees * std::numbers::pi / 180.0}; }

}  // namespace wheatpaste
