#include "composite/wrinkle.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <vector>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;

struct Range {
  double low, high;
};
constexpr Range kCreaseMm{1.6, 4.5};          // standard deviation across
constexpr Range kCreaseLengthMm{50, 210};     // half of it
constexpr Range kBubbleMm{4, 13};             // radius
constexpr Range kSwellMm{140, 420};           // wavelength
constexpr Range kCreaseSteepness{0.35, 1.7};  // at its steepest, of the steepest
constexpr Range kBubbleSteepness{0.2, 0.8};   // the same
constexpr double kSwellSteepness = 0.11;      // of each wave
constexpr int kSwellWaves = 5;
// One on so many mm^2.
constexpr double kCreaseArea = 130 * 130, kBubbleArea = 110 * 110;
// Half a crease is at most this share of the sheet's diagonal.
constexpr double kCreaseShare = 0.35;

// The generator's sequence is fixed by the C++ standard; its distributions are not.
class Dice {
 public:
  explicit Dice(uint64_t seed) : engine_(seed) {}
  double In(const Range& range) {
    const double unit = static_cast<double>(engine_() >> 11) * 0x1p-53;
    return range.low + unit * (range.high - range.low);
  }
  double Sign() { return (engine_() >> 63) != 0 ? 1.0 : -1.0; }

 private:
  std::mt19937_64 engine_;
};

struct Crease {
  double x, y, cos, sin;  // its middle and direction
  double half_length, sigma, bend, height;
  double reach;
};
struct Bubble {
  double x, y, radius, height;
};
struct Wave {
  double x, y, phase;  // wave vector, rad a mm
  double slope_x, slope_y;
};

struct Relief {
  std::vector<Crease> creases;
  std::vector<Bubble> bubbles;
  std::vector<Wave> waves;
};

Relief MakeRelief(const SurfaceMm& sheet, uint64_t seed, double step_mm) {
  constexpr double kTurn = 2 * std::numbers::pi;
  Dice dice(seed);
  Relief relief;
  const auto on = [&dice](double length) { return dice.In({0, length}); };
  const auto count = [&sheet](double area) {
    return static_cast<int>(std::lround(std::min(1e5, sheet.x * sheet.y / area)));
  };
  const double longest = kCreaseShare * std::hypot(sheet.x, sheet.y);
  for (int i = 0; i < count(kCreaseArea); ++i) {
    Crease crease{};
    crease.x = on(sheet.x);
    crease.y = on(sheet.y);
    const double angle = dice.In({0, kTurn / 2});
    crease.cos = std::cos(angle);
    crease.sin = std::sin(angle);
    crease.half_length = std::min(longest, dice.In(kCreaseLengthMm));
    crease.sigma = std::max(step_mm, dice.In(kCreaseMm));
    // Its ends lie up to a tenth of its half length beside its middle's line.
    crease.bend = dice.In({-0.1, 0.1}) / crease.half_length;
    // A Gaussian is steepest a standard deviation from its middle: height exp(-1/2) / sigma.
    crease.height = dice.Sign() * dice.In(kCreaseSteepness) * crease.sigma * std::exp(0.5);
    crease.reach = crease.half_length * 1.01 + 4 * crease.sigma;
    relief.creases.push_back(crease);
  }
  for (int i = 0; i < count(kBubbleArea); ++i) {
    Bubble bubble{};
    bubble.x = on(sheet.x);
    bubble.y = on(sheet.y);
    bubble.radius = std::max(3 * step_mm, dice.In(kBubbleMm));
    // (1 - r^2)^2 is steepest at r = 1 / sqrt(3): 8 / (3 sqrt(3)) a radius.
    bubble.height = dice.In(kBubbleSteepness) * bubble.radius * 3 * std::sqrt(3.0) / 8;
    relief.bubbles.push_back(bubble);
  }
  for (int i = 0; i < kSwellWaves; ++i) {
    const double angle = dice.In({0, kTurn}), number = kTurn / dice.In(kSwellMm);
    const double cos = std::cos(angle), sin = std::sin(angle);
    relief.waves.push_back({number * cos, number * sin, dice.In({0, kTurn}), kSwellSteepness * cos,
                            kSwellSteepness * sin});
  }
  return relief;
}

struct Slope {
  double x = 0, y = 0;
};

// Where on the line at `y` a bump is not flat.
Range ReachOf(const Crease& crease, double y) {
  const double dy = y - crease.y;
  Range reach{crease.x - crease.reach, crease.x + crease.reach};
  if (std::abs(dy) > crease.reach) return {0, 0};
  // Beside its straight line by no more than its width and its bend: |dy cos - dx sin| <= beside.
  const double beside =
      4 * crease.sigma + std::abs(crease.bend) * crease.half_length * crease.half_length;
  if (std::abs(crease.sin) * crease.reach > beside) {
    const double middle = crease.x + dy * crease.cos / crease.sin;
    const double half = beside / std::abs(crease.sin);
    reach = {std::max(reach.low, middle - half), std::min(reach.high, middle + half)};
  }
  return reach;
}

// The same up and down.
double HeightOf(const Crease& crease) { return crease.reach; }
double HeightOf(const Bubble& bubble) { return bubble.radius; }

Range ReachOf(const Bubble& bubble, double y) {
  const double dy = y - bubble.y, left = bubble.radius * bubble.radius - dy * dy;
  if (left <= 0) return {0, 0};
  return {bubble.x - std::sqrt(left), bubble.x + std::sqrt(left)};
}

Slope SlopeOf(const Crease& crease, double x, double y) {
  const double dx = x - crease.x, dy = y - crease.y;
  const double along = dx * crease.cos + dy * crease.sin;
  const double t = along / crease.half_length;
  if (std::abs(t) >= 1) return {};
  const double across = dy * crease.cos - dx * crease.sin - crease.bend * along * along;
  const double z = across / crease.sigma;
  if (std::abs(z) >= 4) return {};
  // h = height (1 - t^2)^2 exp(-z^2 / 2).
  const double fade = (1 - t * t) * (1 - t * t), ridge = crease.height * std::exp(-z * z / 2);
  const double by_across = -ridge * fade * z / crease.sigma;
  const double by_along =
      -ridge * 4 * t * (1 - t * t) / crease.half_length - by_across * 2 * crease.bend * along;
  return {by_along * crease.cos - by_across * crease.sin,
          by_along * crease.sin + by_across * crease.cos};
}

Slope SlopeOf(const Bubble& bubble, double x, double y) {
  const double dx = (x - bubble.x) / bubble.radius, dy = (y - bubble.y) / bubble.radius;
  const double r2 = dx * dx + dy * dy;
  if (r2 >= 1) return {};
  const double factor = -4 * bubble.height * (1 - r2) / bubble.radius;
  return {factor * dx, factor * dy};
}

// Those that reach the rows from `top` to `bottom`, in the same order.
template <typename Bump>
std::vector<Bump> Within(const std::vector<Bump>& bumps, double top, double bottom) {
  std::vector<Bump> within;
  for (const Bump& bump : bumps) {
    const double height = HeightOf(bump);
    if (bump.y + height >= top && bump.y - height <= bottom) within.push_back(bump);
  }
  return within;
}

}  // namespace

Image<LinearPremul> WrinkleSlopes(const SurfaceMm& sheet, uint64_t seed) {
  const double step =
      std::max(1.0, std::sqrt(sheet.x * sheet.y / static_cast<double>(kMostSlopesPx)));
  const auto side = [step](double length) {
    return std::clamp<int64_t>(std::llround(length / step), 1, kMostSlopesPx);
  };
  const SizePx size{side(sheet.x), side(sheet.y)};
  const double step_x = sheet.x / static_cast<double>(size.width),
               step_y = sheet.y / static_cast<double>(size.height);
  const Relief relief = MakeRelief(sheet, seed, step);
  Image<LinearPremul> slopes(size);
  ParallelRows(size.height, kBandRows, [&](int64_t from, int64_t to) {
    const double top = static_cast<double>(from) * step_y,
                 bottom = static_cast<double>(to) * step_y;
    const auto creases = Within(relief.creases, top, bottom);
    const auto bubbles = Within(relief.bubbles, top, bottom);
    for (int64_t row = from; row < to; ++row) {
      float *sx = slopes.row(0, row), *sy = slopes.row(1, row), *alpha = slopes.row(3, row);
      const double y = (static_cast<double>(row) + 0.5) * step_y;
      const auto add = [&](const auto& bump) {
        const Range reach = ReachOf(bump, y);
        if (reach.low >= reach.high) return;
        const auto column = [&](double x) {
          return static_cast<int64_t>(std::clamp(x / step_x, 0.0, static_cast<double>(size.width)));
        };
        const int64_t x1 = column(reach.high + step_x);
        for (int64_t i = column(reach.low); i < x1; ++i) {
          const Slope slope = SlopeOf(bump, (static_cast<double>(i) + 0.5) * step_x, y);
          sx[i] += static_cast<float>(slope.x);
          sy[i] += static_cast<float>(slope.y);
        }
      };
      for (const Crease& crease : creases) add(crease);
      for (const Bubble& bubble : bubbles) add(bubble);
      for (const Wave& wave : relief.waves) {
        // Turned on by the same angle from px to px.
        const std::complex<double> turn = std::polar(1.0, wave.x * step_x);
        std::complex<double> at = std::polar(1.0, wave.x * step_x / 2 + wave.y * y + wave.phase);
        for (int64_t i = 0; i < size.width; ++i) {
          sx[i] += static_cast<float>(wave.slope_x * at.real());
          sy[i] += static_cast<float>(wave.slope_y * at.real());
          at = {at.real() * turn.real() - at.imag() * turn.imag(),
                at.real() * turn.imag() + at.imag() * turn.real()};
        }
      }
      for (int64_t i = 0; i < size.width; ++i) {
        const double x_slope = double{sx[i]}, y_slope = double{sy[i]};
        const double kept = 1 / std::sqrt(1 + x_slope * x_slope + y_slope * y_slope);
        sx[i] = static_cast<float>(x_slope * kept);
        sy[i] = static_cast<float>(y_slope * kept);
        alpha[i] = 1;
      }
    }
  });
  return slopes;
}

}  // namespace wheatpaste
