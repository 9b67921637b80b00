#include "artwork/main_colours.h"

#include <algorithm>
#include <cmath>

namespace wheatpaste {
namespace {

constexpr int64_t kMostSidePx = 16384;

// The artwork's shape at kMainColoursPx; a bitmap at no more than its own pixels.
SizePx DrawnSize(const Artwork& artwork) {
  const double aspect = artwork.aspect();
  double height = std::sqrt(static_cast<double>(kMainColoursPx) / aspect), width = height * aspect;
  if (!artwork.is_vector()) {
    const double shrink = std::min(1.0, static_cast<double>(artwork.pixels().width) / width);
    width *= shrink;
    height *= shrink;
  }
  const auto side = [](double length) {
    return std::clamp<int64_t>(std::llround(length), 1, kMostSidePx);
  };
  return {side(width), side(height)};
}

}  // namespace

Result<std::vector<MainColour>> MainColours(const Artwork& artwork) {
  const SizePx size = DrawnSize(artwork);
  ColourCount count;
  const auto drawn = artwork.RasteriseRows(
      size, WholeOf(size), [&count](int64_t, Image<LinearPremul> rows) { count.Add(rows.view()); });
  if (!drawn) return drawn.errors();
  return count.Colours();
}

}  // namespace wheatpaste
