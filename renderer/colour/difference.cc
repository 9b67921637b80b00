#include "colour/difference.h"

#include <cmath>
#include <numbers>

namespace wheatpaste {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kPow25To7 = 6103515625.0;

double HueDegrees(double b, double a) {
  if (a == 0 && b == 0) return 0;
  const double hue = std::atan2(b, a) / kDegree;
  return hue < 0 ? hue + 360 : hue;
}

}  // namespace

double DeltaE2000(const Lab& first, const Lab& second) {
  const double mean_chroma = (std::hypot(first.a, first.b) + std::hypot(second.a, second.b)) / 2;
  const double chroma7 = std::pow(mean_chroma, 7);
  const double g = 0.5 * (1 - std::sqrt(chroma7 / (chroma7 + kPow25To7)));
  const double a1 = (1 + g) * first.a, a2 = (1 + g) * second.a;
  const double c1 = std::hypot(a1, first.b), c2 = std::hypot(a2, second.b);
  const double h1 = HueDegrees(first.b, a1), h2 = HueDegrees(second.b, a2);

  const double dl = second.l - first.l;
  const double dc = c2 - c1;
  const bool grey = c1 * c2 == 0;
  const double apart = std::abs(h1 - h2);
  const bool within_half_turn = apart <= 180 + 1e-10;
  double dh = 0;
  if (!grey) {
    dh = h2 - h1;
    if (!within_half_turn) dh += dh > 0 ? -360 : 360;
  }
  const double big_dh = 2 * std::sqrt(c1 * c2) * std::sin(dh / 2 * kDegree);

  const double l = (first.l + second.l) / 2;
  const double c = (c1 + c2) / 2;
  double h = h1 + h2;
  if (!grey) {
    if (within_half_turn) {
      h /= 2;
    } else {
      h = h < 360 ? (h + 360) / 2 : (h - 360) / 2;
    }
  }
  const double t = 1 - 0.17 * std::cos((h - 30) * kDegree) + 0.24 * std::cos(2 * h * kDegree) +
                   0.32 * std::cos((3 * h + 6) * kDegree) - 0.20 * std::cos((4 * h - 63) * kDegree);
  const double theta = 30 * std::exp(-std::pow((h - 275) / 25, 2));
  const double c7 = std::pow(c, 7);
  const double rotation = -std::sin(2 * theta * kDegree) * 2 * std::sqrt(c7 / (c7 + kPow25To7));
  const double l50 = (l - 50) * (l - 50);
  const double sl = 1 + 0.015 * l50 / std::sqrt(20 + l50);
  const double sc = 1 + 0.045 * c;
  const double sh = 1 + 0.015 * c * t;
  const double tl = dl / sl, tc = dc / sc, th = big_dh / sh;
  return std::sqrt(tl * tl + tc * tc + th * th + rotation * tc * th);
}

}  // namespace wheatpaste
