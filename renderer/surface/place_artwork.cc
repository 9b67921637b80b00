#include "surface/place_artwork.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "base/units.h"

namespace wheatpaste {
namespace {

// Width and height of the upright rectangle around a w x h rectangle turned by the angle.
SurfaceMm AroundTurned(const SurfaceMm& size, double c, double s) {
  return {size.x * std::abs(c) + size.y * std::abs(s), size.x * std::abs(s) + size.y * std::abs(c)};
}

SurfaceMm PrintedSize(const Placement& placement, const SurfaceMm& surface, double aspect, double c,
                      double s) {
  if (placement.width_mm) return {*placement.width_mm, *placement.width_mm / aspect};
  if (placement.height_mm) return {*placement.height_mm * aspect, *placement.height_mm};
  const SurfaceMm unit{aspect, 1};
  switch (placement.fit) {
    case Fit::kContain: {
      const SurfaceMm around = AroundTurned(unit, c, s);
      const double scale = std::min(surface.x / around.x, surface.y / around.y);
      return {unit.x * scale, unit.y * scale};
    }
    case Fit::kCover: {
      const SurfaceMm around = AroundTurned(surface, c, s);
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

std::vector<Eigen::Vector2d> CutToSurface(const PlacedSize& placed, const SurfaceMm& surface) {
  std::vector<Eigen::Vector2d> outline;
  for (const ArtworkUv& uv : {ArtworkUv{0, 0}, {1, 0}, {1, 1}, {0, 1}}) {
    outline.push_back(placed.surface_from_artwork(uv).vector());
  }
  outline = CutBy(outline, [](const Eigen::Vector2d& p) { return p.x(); });
  outline = CutBy(outline, [](const Eigen::Vector2d& p) { return p.y(); });
  outline = CutBy(outline, [&](const Eigen::Vector2d& p) { return surface.x - p.x(); });
  return CutBy(outline, [&](const Eigen::Vector2d& p) { return surface.y - p.y(); });
}

}  // namespace

PlacedSize PlaceArtwork(const Placement& placement, const SurfaceMm& surface, double aspect,
                        double mm_slack) {
  double c = std::cos(RadFromDegrees(placement.rotate_degrees).value);
  double s = std::sin(RadFromDegrees(placement.rotate_degrees).value);
  // Quarter turns are exact.
  if (std::fmod(placement.rotate_degrees, 90) == 0) {
    c = std::round(c);
    s = std::round(s);
  }
  PlacedSize placed;
  placed.size = PrintedSize(placement, surface, aspect, c, s);
  placed.centre = placement.at ? *placement.at : SurfaceMm{surface.x / 2, surface.y / 2};
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
    return (a.x <= slack && b.x <= slack) || (a.y <= slack && b.y <= slack) ||
           (a.x >= surface.x - slack && b.x >= surface.x - slack) ||
           (a.y >= surface.y - slack && b.y >= surface.y - slack);
  };
  placed.bleeds.repeat_left = bleeds({0, 0}, {0, 1});
  placed.bleeds.repeat_right = bleeds({1, 0}, {1, 1});
  placed.bleeds.repeat_top = bleeds({0, 0}, {1, 0});
  placed.bleeds.repeat_bottom = bleeds({0, 1}, {1, 1});
  return placed;
}

double RasterPxPerMm(const Map<OutputPx, SurfaceMm>& output_from_surface, const PlacedSize& placed,
                     const SurfaceMm& surface, SizePx picture, double density) {
  const std::vector<Eigen::Vector2d> outline = CutToSurface(placed, surface);
  if (outline.size() < 3) return 0;
  double x0 = outline[0].x(), x1 = x0, y0 = outline[0].y(), y1 = y0;
  for (const auto& p : outline) {
    x0 = std::min(x0, p.x());
    x1 = std::max(x1, p.x());
    y0 = std::min(y0, p.y());
    y1 = std::max(y1, p.y());
  }
  // The largest magnification over a grid, its outer lines on the outline's bounds. Between grid points
  // a plane's magnification changes by at most a few per cent.
  constexpr int kGrid = 48;
  double largest = 0;
  for (int j = 0; j <= kGrid; ++j) {
    for (int i = 0; i <= kGrid; ++i) {
      const SurfaceMm p{x0 + (x1 - x0) * i / kGrid, y0 + (y1 - y0) * j / kGrid};
      if (output_from_surface.Depth(p) <= 0) continue;
      const OutputPx seen = output_from_surface(p);
      const auto w = static_cast<double>(picture.width), h = static_cast<double>(picture.height);
      if (seen.x < -1 || seen.y < -1 || seen.x > w + 1 || seen.y > h + 1) continue;
      const Eigen::Matrix2d j_mm = output_from_surface.Jacobian(p);
      largest = std::max(largest, j_mm.jacobiSvd().singularValues()(0));
    }
  }
  return density * largest;
}

std::vector<Eigen::Vector2d> PicturedOutline(const Map<OutputPx, SurfaceMm>& output_from_surface,
                                             const PlacedSize& placed, const SurfaceMm& surface) {
  std::vector<Eigen::Vector2d> outline = CutToSurface(placed, surface);
  if (outline.size() < 3) return {};
  for (auto& p : outline) {
    const SurfaceMm mm{p.x(), p.y()};
    WHEATPASTE_CHECK(output_from_surface.Depth(mm) > 0);
    p = output_from_surface(mm).vector();
  }
  return outline;
}

}  // namespace wheatpaste
