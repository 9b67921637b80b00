#include "surface/place_artwork.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "base/units.h"
#include "surface/outline_region.h"

namespace wheatpaste {
namespace {

// Width and height of the upright rectangle around a w x h rectangle turned by the angle.
SurfaceMm AroundTurned(const SurfaceMm& size, double c, double s) {
  return {size.x * std::abs(c) + size.y * std::abs(s), size.x * std::abs(s) + size.y * std::abs(c)};
}

// Is the w x h rectangle about `centre`, turned, within a closed outline?
bool LiesWithin(const std::vector<SurfaceMm>& outline, const SurfaceMm& centre,
                const SurfaceMm& size, double c, double s) {
  // The outline in the rectangle's own axes.
  const auto own = [&](const SurfaceMm& p) {
    const double x = p.x - centre.x, y = p.y - centre.y;
    return Eigen::Vector2d(c * x + s * y, -s * x + c * y);
  };
  // No side of the outline runs through the rectangle, and the rectangle's centre is inside.
  const double w = size.x / 2, h = size.y / 2;
  bool inside = false;
  for (size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d a = own(outline[i]), b = own(outline[(i + 1) % outline.size()]);
    if ((a.y() > 0) != (b.y() > 0) && a.x() + (b.x() - a.x()) * a.y() / (a.y() - b.y()) > 0) {
      inside = !inside;
    }
    // The part of a-b within the rectangle, by its parameters (Liang, Barsky 1984).
    double from = 0, to = 1;
    const Eigen::Vector2d d = b - a;
    const auto cut = [&](double along, double room) {
      if (along == 0) {
        if (room <= 0) to = -1;
      } else if (along < 0) {
        from = std::max(from, room / along);
      } else {
        to = std::min(to, room / along);
      }
    };
    cut(-d.x(), a.x() + w);
    cut(d.x(), w - a.x());
    cut(-d.y(), a.y() + h);
    cut(d.y(), h - a.y());
    if (to - from > 1e-9) return false;
  }
  return inside;
}

SurfaceMm PrintedSize(const Placement& placement, const PrintArea& area, double aspect, double c,
                      double s) {
  const SurfaceMm surface = SizeOf(area);
  if (placement.width_mm) return {*placement.width_mm, *placement.width_mm / aspect};
  if (placement.height_mm) return {*placement.height_mm * aspect, *placement.height_mm};
  const SurfaceMm unit{aspect, 1};
  switch (placement.fit) {
    case Fit::kContain: {
      const SurfaceMm around = AroundTurned(unit, c, s);
      double scale = std::min(surface.x / around.x, surface.y / around.y);
      if (!area.outline.empty()) {
        double low = 0;
        for (int i = 0; i < 50; ++i) {
          const double middle = (low + scale) / 2;
          const SurfaceMm tried{unit.x * middle, unit.y * middle};
          (LiesWithin(area.outline, area.centre, tried, c, s) ? low : scale) = middle;
        }
        scale = low;
      }
      return {unit.x * scale, unit.y * scale};
    }
    case Fit::kCover: {
      // From the centre to the farther edge, twice.
      const auto reach = [](double low, double high, double at) {
        return 2 * std::max(at - low, high - at);
      };
      const SurfaceMm around = AroundTurned({reach(area.low.x, area.high.x, area.centre.x),
                                             reach(area.low.y, area.high.y, area.centre.y)},
                                            c, s);
      const double scale = std::max(around.x / unit.x, around.y / unit.y);
      return {unit.x * scale, unit.y * scale};
    }
    case Fit::kStretch:
      if (std::abs(s) > std::abs(c)) return {surface.y, surface.x};
      return surface;
  }
  return surface;
}

// Keeps the part of a convex outline where side(p) >= 0, `side` linear.
template <typename Side>
std::vector<Eigen::Vector2d> CutBy(const std::vector<Eigen::Vector2d>& outline, const Side& side) {
  std::vector<Eigen::Vector2d> kept;
  for (size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d &a = outline[i], &b = outline[(i + 1) % outline.size()];
    const double at_a = side(a), at_b = side(b);
    if (at_a >= 0) kept.push_back(a);
    if ((at_a > 0 && at_b < 0) || (at_a < 0 && at_b > 0)) {
      kept.push_back(a + (b - a) * (at_a / (at_a - at_b)));
    }
  }
  return kept;
}

std::vector<Eigen::Vector2d> CutToSurface(const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                                          const SurfaceMm& surface) {
  std::vector<Eigen::Vector2d> outline;
  for (const ArtworkUv& uv : {ArtworkUv{0, 0}, {1, 0}, {1, 1}, {0, 1}}) {
    outline.push_back(surface_from_artwork(uv).vector());
  }
  outline = CutBy(outline, [](const Eigen::Vector2d& p) { return p.x(); });
  outline = CutBy(outline, [](const Eigen::Vector2d& p) { return p.y(); });
  outline = CutBy(outline, [&](const Eigen::Vector2d& p) { return surface.x - p.x(); });
  return CutBy(outline, [&](const Eigen::Vector2d& p) { return surface.y - p.y(); });
}

}  // namespace

PlacedSize PlaceArtwork(const Placement& placement, const PrintArea& area, double aspect,
                        double mm_slack) {
  double c = std::cos(RadFromDegrees(placement.rotate_degrees).value);
  double s = std::sin(RadFromDegrees(placement.rotate_degrees).value);
  // Quarter turns are exact.
  if (std::fmod(placement.rotate_degrees, 90) == 0) {
    c = std::round(c);
    s = std::round(s);
  }
  PlacedSize placed;
  placed.size = PrintedSize(placement, area, aspect, c, s);
  placed.centre = area.centre;
  if (placement.at) {
    placed.centre = *placement.at;
  } else if (!placement.width_mm && !placement.height_mm && placement.fit == Fit::kStretch) {
    placed.centre = {(area.low.x + area.high.x) / 2, (area.low.y + area.high.y) / 2};
  }
  // Surface y runs down, so this turns clockwise as seen.
  Eigen::Matrix3d map;
  map << c * placed.size.x, -s * placed.size.y,
      placed.centre.x - (c * placed.size.x - s * placed.size.y) / 2,  //
      s * placed.size.x, c * placed.size.y,
      placed.centre.y - (s * placed.size.x + c * placed.size.y) / 2,  //
      0, 0, 1;
  placed.surface_from_artwork = Map<SurfaceMm, ArtworkUv>(map);

  // A side bleeds when both its ends lie on or beyond one and the same edge of the surface.
  const double slack = std::max(0.05, mm_slack);
  const auto bleeds = [&](const ArtworkUv& from, const ArtworkUv& to) {
    const SurfaceMm a = placed.surface_from_artwork(from), b = placed.surface_from_artwork(to);
    return std::max(a.x, b.x) <= area.low.x + slack || std::max(a.y, b.y) <= area.low.y + slack ||
           std::min(a.x, b.x) >= area.high.x - slack || std::min(a.y, b.y) >= area.high.y - slack;
  };
  placed.bleeds.repeat_left = bleeds({0, 0}, {0, 1});
  placed.bleeds.repeat_right = bleeds({1, 0}, {1, 1});
  placed.bleeds.repeat_top = bleeds({0, 0}, {1, 0});
  placed.bleeds.repeat_bottom = bleeds({0, 1}, {1, 1});
  return placed;
}

double LargestPxPerMm(const Map<OutputPx, SurfaceMm>& output_from_surface,
                      const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                      const SurfaceMm& surface, SizePx picture) {
  const std::vector<Eigen::Vector2d> outline = CutToSurface(surface_from_artwork, surface);
  if (outline.size() < 3) return 0;
  const auto [low, high] = BoundsOf(outline);
  // The largest magnification over a grid, its outer lines on the outline's bounds. Between grid points
  // a plane's magnification changes by at most a few per cent.
  constexpr int kGrid = 48;
  double largest = 0;
  for (int j = 0; j <= kGrid; ++j) {
    for (int i = 0; i <= kGrid; ++i) {
      const SurfaceMm p{low.x() + (high.x() - low.x()) * i / kGrid,
                        low.y() + (high.y() - low.y()) * j / kGrid};
      if (output_from_surface.Depth(p) <= 0) continue;
      const OutputPx seen = output_from_surface(p);
      const auto w = static_cast<double>(picture.width), h = static_cast<double>(picture.height);
      if (seen.x < -1 || seen.y < -1 || seen.x > w + 1 || seen.y > h + 1) continue;
      const Eigen::Matrix2d j_mm = output_from_surface.Jacobian(p);
      largest = std::max(largest, j_mm.jacobiSvd().singularValues()(0));
    }
  }
  return largest;
}

std::vector<Eigen::Vector2d> PicturedOutline(const Map<OutputPx, SurfaceMm>& output_from_surface,
                                             const Map<SurfaceMm, ArtworkUv>& surface_from_artwork,
                                             const SurfaceMm& surface) {
  std::vector<Eigen::Vector2d> outline = CutToSurface(surface_from_artwork, surface);
  if (outline.size() < 3) return {};
  for (auto& p : outline) {
    const SurfaceMm mm{p.x(), p.y()};
    WHEATPASTE_CHECK(output_from_surface.Depth(mm) > 0);
    p = output_from_surface(mm).vector();
  }
  return outline;
}

}  // namespace wheatpaste
