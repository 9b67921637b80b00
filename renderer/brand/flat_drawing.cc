#include "brand/flat_drawing.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

using Vector4 = std::array<float, 4>;

constexpr uint8_t kMixed = 255;
constexpr int64_t kBandRows = 32;
// Largest difference of any value: what codes of 8 bits leave of a colour, and of a mixture.
constexpr float kSameColour = 0.006f, kSameMixture = 0.02f;
constexpr int kNear = 2;  // px
constexpr double kClearGround = 0.02;
// Of a flat drawing, in which no gradient has steps, this much of a colour is no chance: a word of 8 pt on an A4 page.
constexpr double kLeastRareShare = 2e-5;

struct Mixture {
  uint8_t first = 0, second = 0;
  float share = 1;  // of the first
  float error = 2;
};

Vector4 ValueAt(ImageView<LinearPremul> raster, int64_t x, int64_t y) {
  return {raster.row(0, y)[x], raster.row(1, y)[x], raster.row(2, y)[x], raster.row(3, y)[x]};
}

float Difference(const Vector4& a, const Vector4& b) {
  float worst = 0;
  for (size_t i = 0; i < 4; ++i) worst = std::max(worst, std::abs(a[i] - b[i]));
  return worst;
}

// How well v is t a + (1 - t) b, by least squares.
Mixture Mix(const Vector4& v, const std::vector<Vector4>& parts, uint8_t a, uint8_t b) {
  const Vector4 &p = parts[a], &q = parts[b];
  float along = 0, length = 0;
  for (size_t i = 0; i < 4; ++i) {
    along += (v[i] - q[i]) * (p[i] - q[i]);
    length += (p[i] - q[i]) * (p[i] - q[i]);
  }
  const float t = length > 0 ? std::clamp(along / length, 0.0f, 1.0f) : 1.0f;
  Vector4 mixed{};
  for (size_t i = 0; i < 4; ++i) mixed[i] = t * p[i] + (1 - t) * q[i];
  return {a, b, t, Difference(v, mixed)};
}

// The parts that pixels near (x, y) are wholly of.
std::vector<uint8_t> PartsNear(const FlatDrawing& drawing, const std::vector<uint8_t>& pure,
                               int64_t x, int64_t y) {
  std::vector<uint8_t> found;
  for (int64_t j = std::max<int64_t>(0, y - kNear);
       j <= std::min(drawing.size.height - 1, y + kNear); ++j) {
    for (int64_t i = std::max<int64_t>(0, x - kNear);
         i <= std::min(drawing.size.width - 1, x + kNear); ++i) {
      const uint8_t part = pure[drawing.At(i, j)];
      if (part != kMixed && std::find(found.begin(), found.end(), part) == found.end()) {
        found.push_back(part);
      }
    }
  }
  return found;
}

// Among those that fit as well the first, which is of the commoner part.
Mixture Explain(const Vector4& v, const std::vector<Vector4>& parts,
                const std::vector<uint8_t>& near) {
  Mixture best;
  const auto consider = [&](uint8_t a, uint8_t b) {
    const Mixture mixture = Mix(v, parts, a, b);
    if (mixture.error < best.error - kSameColour) best = mixture;
  };
  for (size_t i = 0; i < near.size(); ++i) {
    for (size_t j = i + 1; j < near.size(); ++j) consider(near[i], near[j]);
  }
  if (best.error <= kSameMixture) return best;
  for (const uint8_t a : near) {
    for (size_t b = 0; b < parts.size(); ++b) consider(a, static_cast<uint8_t>(b));
  }
  if (best.error <= kSameMixture) return best;
  for (size_t a = 0; a < parts.size(); ++a) {
    for (size_t b = a + 1; b < parts.size(); ++b) {
      consider(static_cast<uint8_t>(a), static_cast<uint8_t>(b));
    }
  }
  return best;
}

// A pixel of an edge may have a third part's colour by chance; it then has no neighbour of that part.
void DropChance(const FlatDrawing& drawing, std::vector<uint8_t>& pure) {
  const std::vector<uint8_t> before = pure;
  const SizePx size = drawing.size;
  ParallelRows(size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < size.width; ++x) {
        const size_t at = drawing.At(x, y);
        const auto row = static_cast<size_t>(size.width);
        const uint8_t part = before[at];
        const bool accompanied = (x > 0 && before[at - 1] == part) ||
                                 (x + 1 < size.width && before[at + 1] == part) ||
                                 (y > 0 && before[at - row] == part) ||
                                 (y + 1 < size.height && before[at + row] == part);
        if (!accompanied) pure[at] = kMixed;
      }
    }
  });
}

// All that is more than half opaque is one part.
void CountAsOne(ImageView<LinearPremul> raster, FlatDrawing& drawing) {
  drawing.unexplained = 1;
  drawing.colours.resize(1);
  for (int64_t y = 0; y < raster.height(); ++y) {
    for (int64_t x = 0; x < raster.width(); ++x) {
      const size_t at = drawing.At(x, y);
      drawing.part[at] = drawing.beside[at] = raster.row(3, y)[x] > 0.5f ? 0 : 1;
      drawing.share[at] = 255;
    }
  }
}

// Gives pixels to lines that are thinner than a pixel.
void KeepThinLines(FlatDrawing& drawing) {
  const std::vector<uint8_t> before = drawing.part;
  ParallelRows(drawing.size.height, kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < drawing.size.width; ++x) {
        const size_t at = drawing.At(x, y);
        if (drawing.share[at] == 255 || 255 - drawing.share[at] < 255 * kFaintShare) continue;
        const std::vector<uint8_t> near = PartsNear(drawing, before, x, y);
        if (std::find(near.begin(), near.end(), drawing.beside[at]) != near.end()) continue;
        std::swap(drawing.part[at], drawing.beside[at]);
        drawing.share[at] = static_cast<uint8_t>(255 - drawing.share[at]);
      }
    }
  });
}

}  // namespace

double FlatDrawing::ShareOf(uint8_t wanted, int64_t x, int64_t y) const {
  const size_t at =
      At(std::clamp<int64_t>(x, 0, size.width - 1), std::clamp<int64_t>(y, 0, size.height - 1));
  if (part[at] == wanted) return share[at] / 255.0;
  return beside[at] == wanted ? 1 - share[at] / 255.0 : 0;
}

uint8_t FlatDrawing::Ground() const {
  const auto all = static_cast<double>(size.area());
  if (static_cast<double>(pixels_of[clear()]) > kClearGround * all) return clear();
  return static_cast<uint8_t>(std::max_element(pixels_of.begin(), pixels_of.end()) -
                              pixels_of.begin());
}

FlatDrawing TellApart(ImageView<LinearPremul> raster, double mm_per_px,
                      std::vector<MainColour> colours) {
  FlatDrawing drawing;
  drawing.size = raster.size();
  drawing.mm_per_px = mm_per_px;
  drawing.colours = std::move(colours);
  WHEATPASTE_CHECK_OP(drawing.colours.size(), <, size_t{kMixed});
  std::vector<Vector4> parts;
  for (const MainColour& main : drawing.colours) {
    const SceneLinear linear = LinearFromSrgb(main.colour);
    parts.push_back({linear.r, linear.g, linear.b, 1});
  }
  parts.push_back({});

  const auto count = static_cast<size_t>(raster.size().area());
  std::vector<uint8_t> pure(count, kMixed);
  ParallelRows(raster.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    size_t last = parts.size() - 1;
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < raster.width(); ++x) {
        const Vector4 v = ValueAt(raster, x, y);
        if (Difference(v, parts[last]) > kSameColour) {
          const auto found = std::find_if(parts.begin(), parts.end(), [&](const Vector4& p) {
            return Difference(v, p) <= kSameColour;
          });
          if (found == parts.end()) continue;
          last = static_cast<size_t>(found - parts.begin());
        }
        pure[drawing.At(x, y)] = static_cast<uint8_t>(last);
      }
    }
  });

  DropChance(drawing, pure);
  drawing.part = pure;
  drawing.beside = pure;
  drawing.share.assign(count, 255);
  std::vector<int64_t> unexplained_rows(static_cast<size_t>(raster.height()));
  ParallelRows(raster.height(), kBandRows, [&](int64_t y0, int64_t y1) {
    for (int64_t y = y0; y < y1; ++y) {
      for (int64_t x = 0; x < raster.width(); ++x) {
        const size_t at = drawing.At(x, y);
        if (pure[at] != kMixed) continue;
        const std::vector<uint8_t> near = PartsNear(drawing, pure, x, y);
        Mixture found = Explain(ValueAt(raster, x, y), parts, near);
        if (near.empty() || found.error > kSameMixture) ++unexplained_rows[static_cast<size_t>(y)];
        if (found.share < 0.5f) {
          std::swap(found.first, found.second);
          found.share = 1 - found.share;
        }
        drawing.part[at] = found.first;
        drawing.beside[at] = found.second;
        drawing.share[at] = static_cast<uint8_t>(std::lround(255 * found.share));
      }
    }
  });
  int64_t unexplained = 0;
  for (const int64_t row : unexplained_rows) unexplained += row;
  drawing.unexplained =
      static_cast<double>(unexplained) / static_cast<double>(std::max<size_t>(1, count));
  if (drawing.is_flat()) {
    KeepThinLines(drawing);
  } else {
    CountAsOne(raster, drawing);
  }
  drawing.pixels_of.assign(drawing.colours.size() + 1, 0);
  for (const uint8_t part : drawing.part) ++drawing.pixels_of[part];
  return drawing;
}

FlatDrawing JoinParts(const FlatDrawing& drawing, const std::vector<uint8_t>& joined) {
  FlatDrawing result = drawing;
  for (size_t i = 0; i < result.part.size(); ++i) {
    result.part[i] = joined[result.part[i]];
    result.beside[i] = joined[result.beside[i]];
    if (result.part[i] == result.beside[i]) result.share[i] = 255;
  }
  for (size_t part = 0; part < joined.size(); ++part) {
    if (joined[part] == part) continue;
    result.pixels_of[joined[part]] += result.pixels_of[part];
    result.pixels_of[part] = 0;
  }
  return result;
}

Result<FlatDrawing> DrawFlat(const Artwork& artwork, const SurfaceMm& placed,
                             std::vector<MainColour> colours) {
  const double area = placed.x * placed.y;
  double px_per_mm = std::min(kMostFlatPxPerMm, std::sqrt(static_cast<double>(kMostFlatPx) / area));
  if (!artwork.is_vector()) {
    px_per_mm = std::min(px_per_mm, static_cast<double>(artwork.pixels().width) / placed.x);
  }
  constexpr int64_t kMostSide = 16'000;
  const auto side = [&](double mm) {
    return std::clamp<int64_t>(std::llround(mm * px_per_mm), 1, kMostSide);
  };
  const auto raster = artwork.Rasterise({side(placed.x), side(placed.y)});
  if (!raster) return raster.errors();
  const double mm_per_px = placed.x / static_cast<double>(raster->width());
  FlatDrawing drawing = TellApart(raster->view(), mm_per_px, colours);
  if (!drawing.is_flat() || drawing.unexplained == 0) return drawing;
  ColourCount count;
  count.Add(raster->view());
  const size_t main = colours.size();
  for (const MainColour& rare : count.Colours(kLeastRareShare)) {
    const bool known = std::any_of(colours.begin(), colours.end(),
                                   [&](const MainColour& of) { return of.colour == rare.colour; });
    if (!known && colours.size() < kMostMainColours) colours.push_back(rare);
  }
  if (colours.size() == main) return drawing;
  return TellApart(raster->view(), mm_per_px, std::move(colours));
}

}  // namespace wheatpaste
