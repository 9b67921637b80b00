#include "brand/line_widths.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/parallel.h"
#include "brand/distance_map.h"

namespace wheatpaste {
namespace {

constexpr int kDirections = 16;
constexpr double kStepPx = 0.5;
constexpr double kNothing = 0.02;  // share of a pixel
// Between even sides the shortest chord is twice the distance from them, to a pixel or so; in a corner it is longer.
constexpr double kEvenSides = 2.2, kEvenSidesPx = 1.5;
constexpr int64_t kLeastLengthPx = 5;
constexpr double kThinPx = 3;       // distance from the edge
constexpr double kLeastAwayPx = 3;  // along the axis, to see whether the width stays
constexpr int64_t kBandRows = 32;

// A pixel on the medial axis.
struct AxisPixel {
  float distance = 0;  // from the edge, px
  int32_t x = 0, y = 0;
};

struct Chord {
  double width = 0;  // px
  double dx = 1, dy = 0;
};

double SmoothShare(const FlatDrawing& drawing, uint8_t part, double x, double y) {
  const double left = std::floor(x - 0.5), top = std::floor(y - 0.5);
  const double u = x - 0.5 - left, v = y - 0.5 - top;
  const auto i = static_cast<int64_t>(left), j = static_cast<int64_t>(top);
  const auto share = [&](int64_t di, int64_t dj) { return drawing.ShareOf(part, i + di, j + dj); };
  return (1 - v) * ((1 - u) * share(0, 0) + u * share(1, 0)) +
         v * ((1 - u) * share(0, 1) + u * share(1, 1));
}

// What of the part lies along one half of a chord; `reach` at the most.
double HalfChord(const FlatDrawing& drawing, uint8_t part, double x, double y, double dx, double dy,
                 double reach) {
  double before = SmoothShare(drawing, part, x, y), sum = 0;
  for (double t = kStepPx; t <= reach; t += kStepPx) {
    const double share = SmoothShare(drawing, part, x + t * dx, y + t * dy);
    // Another line begins.
    if (share > before && before < 0.5 && t > 1) break;
    sum += kStepPx * (before + share) / 2;
    if (share <= kNothing) break;
    before = share;
  }
  return sum;
}

double ChordAt(const FlatDrawing& drawing, uint8_t part, double x, double y, double dx, double dy,
               double reach) {
  return HalfChord(drawing, part, x, y, dx, dy, reach) +
         HalfChord(drawing, part, x, y, -dx, -dy, reach);
}

// How far one can go from (x, y) and stay within the part, in whole px up to `reach`.
double WholeSteps(const FlatDrawing& drawing, uint8_t part, double x, double y, double dx,
                  double dy, double reach) {
  for (double t = 1; t < reach; ++t) {
    const auto i = static_cast<int64_t>(std::floor(x + t * dx));
    const auto j = static_cast<int64_t>(std::floor(y + t * dy));
    if (i < 0 || j < 0 || i >= drawing.size.width || j >= drawing.size.height) return reach;
    if (drawing.part[drawing.At(i, j)] != part) return t;
  }
  return reach;
}

// Longest half chord between even sides.
double ReachOf(const AxisPixel& pixel) { return 1.3 * double{pixel.distance} + 3; }

Chord ShortestChord(const FlatDrawing& drawing, uint8_t part, const AxisPixel& pixel) {
  const double x = pixel.x + 0.5, y = pixel.y + 0.5, reach = ReachOf(pixel);
  std::array<double, kDirections> cost{};
  std::array<std::array<double, 2>, kDirections> direction{};
  for (size_t k = 0; k < cost.size(); ++k) {
    const double angle = static_cast<double>(k) * std::numbers::pi / kDirections;
    direction[k] = {std::cos(angle), std::sin(angle)};
    const auto [dx, dy] = direction[k];
    // Steps of a px find a thick line's direction; a thin one's needs all that is known.
    cost[k] = double{pixel.distance} < kThinPx
                  ? ChordAt(drawing, part, x, y, dx, dy, reach)
                  : WholeSteps(drawing, part, x, y, dx, dy, reach) +
                        WholeSteps(drawing, part, x, y, -dx, -dy, reach);
  }
  const auto least = static_cast<size_t>(std::min_element(cost.begin(), cost.end()) - cost.begin());
  const auto chord = [&](size_t k) {
    const auto [dx, dy] = direction[k % direction.size()];
    return Chord{ChordAt(drawing, part, x, y, dx, dy, reach), dx, dy};
  };
  Chord best = chord(least);
  if (double{pixel.distance} < kThinPx) return best;
  for (const size_t k : {least + 1, least + cost.size() - 1}) {
    if (const Chord other = chord(k); other.width < best.width) best = other;
  }
  return best;
}

// The width there where it is a line's: of even width a while to both sides.
std::optional<Chord> LineAt(const FlatDrawing& drawing, uint8_t part, const AxisPixel& pixel) {
  const double x = pixel.x + 0.5, y = pixel.y + 0.5, reach = ReachOf(pixel);
  const Chord chord = ShortestChord(drawing, part, pixel);
  if (chord.width > kEvenSides * double{pixel.distance} + kEvenSidesPx) return {};
  const double away = std::max(kLeastAwayPx, chord.width);
  for (const double along : {away, -away}) {
    const double width = ChordAt(drawing, part, x - along * chord.dy, y + along * chord.dx,
                                 chord.dx, chord.dy, reach);
    if (std::abs(width - chord.width) > kMostTaper * away) return {};
  }
  return chord;
}

bool OnAxis(const FlatDrawing& drawing, ImageView<Coverage> distance, int64_t x, int64_t y) {
  const uint8_t part = drawing.part[drawing.At(x, y)];
  const float here = distance.row(y)[x];
  const auto at = [&](int64_t i, int64_t j) {
    return drawing.part[drawing.At(i, j)] == part ? distance.row(j)[i] : 0.0f;
  };
  constexpr std::array<std::array<int, 2>, 4> kAxes{{{1, 0}, {0, 1}, {1, 1}, {1, -1}}};
  return std::any_of(kAxes.begin(), kAxes.end(), [&](const std::array<int, 2>& step) {
    return here >= at(x - step[0], y - step[1]) && here > at(x + step[0], y + step[1]);
  });
}

// Widths met so far on one shape, and how many have to keep within the one that counts.
struct ShapeWidths {
  int64_t axis_px = 0;
  std::vector<std::pair<double, AxisPixel>> widths;

  int64_t Needed(double mm_per_px) const {
    const double least =
        std::min(kLeastLengthMm / mm_per_px, kLeastLengthShare * static_cast<double>(axis_px));
    return std::max(kLeastLengthPx, static_cast<int64_t>(std::ceil(least)));
  }
};

// Pixels of the axis, of every part, the nearest to an edge first.
std::vector<std::vector<AxisPixel>> AxisOf(const FlatDrawing& drawing,
                                           ImageView<Coverage> distance) {
  const int64_t bands = (drawing.size.height + kBandRows - 1) / kBandRows;
  std::vector<std::vector<AxisPixel>> found(static_cast<size_t>(bands));
  ParallelFor(bands, [&](int64_t band) {
    const int64_t end = std::min(drawing.size.height - 1, (band + 1) * kBandRows);
    for (int64_t y = std::max<int64_t>(1, band * kBandRows); y < end; ++y) {
      for (int64_t x = 1; x + 1 < drawing.size.width; ++x) {
        if (!OnAxis(drawing, distance, x, y)) continue;
        found[static_cast<size_t>(band)].push_back(
            {distance.row(y)[x], static_cast<int32_t>(x), static_cast<int32_t>(y)});
      }
    }
  });
  std::vector<std::vector<AxisPixel>> of_part(drawing.colours.size() + 1);
  for (const auto& band : found) {
    for (const AxisPixel& pixel : band) {
      of_part[drawing.part[drawing.At(pixel.x, pixel.y)]].push_back(pixel);
    }
  }
  for (auto& axis : of_part) {
    std::stable_sort(axis.begin(), axis.end(), [](const AxisPixel& a, const AxisPixel& b) {
      return a.distance < b.distance;
    });
  }
  return of_part;
}

// The part that most of a chord's ends lie in.
uint8_t Beside(const FlatDrawing& drawing, uint8_t part, const AxisPixel& pixel) {
  const Chord chord = ShortestChord(drawing, part, pixel);
  for (const int sign : {1, -1}) {
    const double away = sign * (chord.width / 2 + 1.5);
    const auto x = static_cast<int64_t>(std::floor(pixel.x + 0.5 + away * chord.dx));
    const auto y = static_cast<int64_t>(std::floor(pixel.y + 0.5 + away * chord.dy));
    if (x < 0 || y < 0 || x >= drawing.size.width || y >= drawing.size.height) continue;
    const uint8_t other = drawing.part[drawing.At(x, y)];
    if (other != part) return other;
  }
  return drawing.beside[drawing.At(pixel.x, pixel.y)];
}

std::optional<ThinLine> ThinnestOf(const FlatDrawing& drawing, const Shapes& shapes, uint8_t part,
                                   const std::vector<AxisPixel>& axis) {
  std::vector<ShapeWidths> widths(shapes.shapes.size());
  const auto shape_of = [&](const AxisPixel& pixel) {
    return static_cast<size_t>(shapes.shape_at[drawing.At(pixel.x, pixel.y)]);
  };
  for (const AxisPixel& pixel : axis) ++widths[shape_of(pixel)].axis_px;
  double best = std::numeric_limits<double>::infinity();
  std::optional<AxisPixel> place;
  for (const AxisPixel& pixel : axis) {
    // Chords are at least about twice the distance long.
    if (1.6 * double{pixel.distance} - 1.5 > std::min(best, kWidestLinePx)) break;
    const auto chord = LineAt(drawing, part, pixel);
    if (!chord) continue;
    ShapeWidths& shape = widths[shape_of(pixel)];
    shape.widths.emplace_back(chord->width, pixel);
    const auto needed = static_cast<size_t>(shape.Needed(drawing.mm_per_px));
    if (shape.widths.size() < needed) continue;
    const auto at = shape.widths.begin() + static_cast<int64_t>(needed) - 1;
    std::nth_element(shape.widths.begin(), at, shape.widths.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    if (at->first < best) {
      best = at->first;
      place = at->second;
    }
    // Only those that can still count are kept.
    shape.widths.resize(needed);
  }
  if (!place) return {};
  return ThinLine{best * drawing.mm_per_px,
                  Beside(drawing, part, *place),
                  {(place->x + 0.5) / static_cast<double>(drawing.size.width),
                   (place->y + 0.5) / static_cast<double>(drawing.size.height)}};
}

}  // namespace

std::vector<std::optional<ThinLine>> ThinnestLines(const FlatDrawing& drawing,
                                                   const Shapes& shapes) {
  const Image<Coverage> distance = DistanceToEdge(drawing);
  const auto axes = AxisOf(drawing, distance.view());
  std::vector<std::optional<ThinLine>> thinnest(axes.size());
  ParallelFor(static_cast<int64_t>(axes.size()), [&](int64_t part) {
    const auto at = static_cast<size_t>(part);
    thinnest[at] = ThinnestOf(drawing, shapes, static_cast<uint8_t>(part), axes[at]);
  });
  return thinnest;
}

}  // namespace wheatpaste
