#include "colour/spectrum.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "colour/adapt.h"

namespace wheatpaste {
namespace {

struct CieRow {
  double x, y, z;  // colour-matching functions
  double d50;      // relative power
};
constexpr CieRow kCie[kSpectrumBands] = {
    {0.001368, 3.9e-05, 0.00645, 24.488},  // 380 nm
    {0.004243, 0.00012, 0.02005, 29.871},  // 390 nm
    {0.01431, 0.000396, 0.06785, 49.308},  // 400 nm
    {0.04351, 0.00121, 0.2074, 56.513},    // 410 nm
    {0.13438, 0.004, 0.6456, 60.034},      // 420 nm
    {0.2839, 0.0116, 1.3856, 57.818},      // 430 nm
    {0.34828, 0.023, 1.74706, 74.825},     // 440 nm
    {0.3362, 0.038, 1.77211, 87.247},      // 450 nm
    {0.2908, 0.06, 1.6692, 90.612},        // 460 nm
    {0.19536, 0.09098, 1.28764, 91.368},   // 470 nm
    {0.09564, 0.13902, 0.81295, 95.109},   // 480 nm
    {0.03201, 0.20802, 0.46518, 91.963},   // 490 nm
    {0.0049, 0.323, 0.272, 95.724},        // 500 nm
    {0.0093, 0.503, 0.1582, 96.613},       // 510 nm
    {0.06327, 0.71, 0.07825, 97.129},      // 520 nm
    {0.1655, 0.862, 0.04216, 102.099},     // 530 nm
    {0.2904, 0.954, 0.0203, 100.755},      // 540 nm
    {0.43345, 0.99495, 0.00875, 102.317},  // 550 nm
    {0.5945, 0.995, 0.0039, 100},          // 560 nm
    {0.7621, 0.952, 0.0021, 97.735},       // 570 nm
    {0.9163, 0.87, 0.00165, 98.918},       // 580 nm
    {1.0263, 0.757, 0.0011, 93.499},       // 590 nm
    {1.0622, 0.631, 0.0008, 97.688},       // 600 nm
    {1.0026, 0.503, 0.00034, 99.269},      // 610 nm
    {0.85445, 0.381, 0.00019, 99.042},     // 620 nm
    {0.6424, 0.265, 5e-05, 95.722},        // 630 nm
    {0.4479, 0.175, 2e-05, 98.857},        // 640 nm
    {0.2835, 0.107, 0, 95.667},            // 650 nm
    {0.1649, 0.061, 0, 98.19},             // 660 nm
    {0.0874, 0.032, 0, 103.003},           // 670 nm
    {0.04677, 0.017, 0, 99.133},           // 680 nm
    {0.0227, 0.00821, 0, 87.381},          // 690 nm
    {0.011359, 0.004102, 0, 91.604},       // 700 nm
    {0.00579, 0.002091, 0, 92.889},        // 710 nm
    {0.002899, 0.001047, 0, 76.854},       // 720 nm
    {0.00144, 0.00052, 0, 86.511},         // 730 nm
};

// Reflectance of the working primaries, as spectrum.h describes them: red, green, blue.
constexpr double kPrimaries[kSpectrumBands][3] = {
    {0.000000000, 0.000000000, 1.000000000},  // 380 nm
    {0.000000000, 0.000000000, 1.000000000},  // 390 nm
    {0.000000000, 0.000000000, 1.000000000},  // 400 nm
    {0.000000000, 0.000000000, 1.000000000},  // 410 nm
    {0.000000000, 0.000000000, 1.000000000},  // 420 nm
    {0.000000000, 0.000000000, 1.000000000},  // 430 nm
    {0.001995823, 0.000000000, 0.998004177},  // 440 nm
    {0.014047006, 0.000000000, 0.985952994},  // 450 nm
    {0.040874652, 0.000000000, 0.959125348},  // 460 nm
    {0.039676738, 0.094481474, 0.865841788},  // 470 nm
    {0.014476370, 0.281583166, 0.703940464},  // 480 nm
    {0.000000000, 0.500348814, 0.499651186},  // 490 nm
    {0.000000000, 0.710445819, 0.289554181},  // 500 nm
    {0.000000000, 0.886498496, 0.113501504},  // 510 nm
    {0.000000000, 0.993526661, 0.006473339},  // 520 nm
    {0.000000000, 1.000000000, 0.000000000},  // 530 nm
    {0.000000000, 1.000000000, 0.000000000},  // 540 nm
    {0.000000000, 1.000000000, 0.000000000},  // 550 nm
    {0.000000000, 1.000000000, 0.000000000},  // 560 nm
    {0.051145375, 0.941927924, 0.006926702},  // 570 nm
    {0.208935453, 0.770679718, 0.020384829},  // 580 nm
    {0.422090229, 0.543304172, 0.034605598},  // 590 nm
    {0.638170599, 0.317570283, 0.044259118},  // 600 nm
    {0.816612038, 0.138362196, 0.045025766},  // 610 nm
    {0.933774823, 0.031381296, 0.034843881},  // 620 nm
    {0.985899222, 0.000000000, 0.014100778},  // 630 nm
    {1.000000000, 0.000000000, 0.000000000},  // 640 nm
    {1.000000000, 0.000000000, 0.000000000},  // 650 nm
    {1.000000000, 0.000000000, 0.000000000},  // 660 nm
    {1.000000000, 0.000000000, 0.000000000},  // 670 nm
    {1.000000000, 0.000000000, 0.000000000},  // 680 nm
    {1.000000000, 0.000000000, 0.000000000},  // 690 nm
    {1.000000000, 0.000000000, 0.000000000},  // 700 nm
    {1.000000000, 0.000000000, 0.000000000},  // 710 nm
    {1.000000000, 0.000000000, 0.000000000},  // 720 nm
    {1.000000000, 0.000000000, 0.000000000},  // 730 nm
};

// XYZ of a sample of reflectance 1, the others 0.
const std::array<Xyz, kSpectrumBands>& Weights() {
  static const std::array<Xyz, kSpectrumBands> weights = [] {
    std::array<Xyz, kSpectrumBands> w;
    Xyz white;
    for (size_t i = 0; i < kSpectrumBands; ++i) {
      const CieRow& row = kCie[i];
      w[i] = {row.x * row.d50, row.y * row.d50, row.z * row.d50};
      white = {white.x + w[i].x, white.y + w[i].y, white.z + w[i].z};
    }
    for (Xyz& xyz : w) {
      xyz = {xyz.x * kWhiteD50.x / white.x, xyz.y * kWhiteD50.y / white.y,
             xyz.z * kWhiteD50.z / white.z};
    }
    return w;
  }();
  return weights;
}

// How far the object-colour solid reaches in a direction.
struct SolidSide {
  double x, y, z, reach;
};
// Directions spread evenly over the sphere along a spiral.
const std::vector<SolidSide>& SolidSides() {
  static const std::vector<SolidSide> sides = [] {
    constexpr int kDirections = 4096;
    constexpr double kGoldenAngle = 2.39996322972865332;
    std::vector<SolidSide> made;
    made.reserve(kDirections);
    for (int k = 0; k < kDirections; ++k) {
      const double z = 1 - (2.0 * k + 1) / kDirections, r = std::sqrt(1 - z * z);
      SolidSide side{r * std::cos(k * kGoldenAngle), r * std::sin(k * kGoldenAngle), z, 0};
      for (const Xyz& w : Weights()) {
        side.reach += std::max(0.0, side.x * w.x + side.y * w.y + side.z * w.z);
      }
      made.push_back(side);
    }
    return made;
  }();
  return sides;
}

}  // namespace

Xyz XyzFromSpectrum(const Spectrum& reflectance) {
  Xyz sum;
  const auto& weights = Weights();
  for (size_t i = 0; i < kSpectrumBands; ++i) {
    const double r = reflectance.at[i];
    sum = {sum.x + r * weights[i].x, sum.y + r * weights[i].y, sum.z + r * weights[i].z};
  }
  return sum;
}

SceneLinear LinearFromSpectrum(const Spectrum& reflectance) {
  return LinearFromXyzD50(XyzFromSpectrum(reflectance));
}

Spectrum SmoothSpectrum(const SceneLinear& colour) {
  Spectrum spectrum;
  for (size_t i = 0; i < kSpectrumBands; ++i) {
    const double r = kPrimaries[i][0] * double{colour.r} + kPrimaries[i][1] * double{colour.g} +
                     kPrimaries[i][2] * double{colour.b};
    spectrum.at[i] = std::clamp(r, 0.0, 1.0);
  }
  return spectrum;
}

bool IsPossibleMaterial(const Xyz& xyz) {
  constexpr double kSlack = 2e-3;  // lets the rounding of a stated Lab through
  return std::all_of(SolidSides().begin(), SolidSides().end(), [&](const SolidSide& side) {
    return side.x * xyz.x + side.y * xyz.y + side.z * xyz.z <= side.reach + kSlack;
  });
}

}  // namespace wheatpaste
