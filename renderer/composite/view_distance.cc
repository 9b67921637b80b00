#include "composite/view_distance.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/SVD>
#include <fmt/format.h>

#include "scene/sizes.h"

namespace wheatpaste {
namespace {

constexpr double kDegreesPerMinute = 1.0 / 60;
constexpr double kMmPerMetre = 1000;

// Output px per mm where the surface shows `at`, and how far off the nearest point found is, mm.
struct Scale {
  double px_per_mm = 0;
  double off_mm = std::numeric_limits<double>::infinity();
};

Scale ScaleAt(const ChartPicture& picture, const SurfaceMm& at) {
  Scale scale;
  if (picture.region.empty()) return scale;
  if (picture.output_from_surface) {
    const Eigen::Matrix2d j = picture.output_from_surface->Jacobian(at);
    return {j.jacobiSvd().singularValues()(0), 0};
  }
  const auto mm = picture.mm.view();
  for (int64_t y = 0; y < mm.height(); ++y) {
    for (int64_t x = 0; x < mm.width(); ++x) {
      if (!(picture.seen.row(0, y)[x] > 0)) continue;
      const double off = std::hypot(mm.row(0, y)[x] - at.x, mm.row(1, y)[x] - at.y);
      if (!(off < scale.off_mm)) continue;
      Eigen::Matrix2d j;
      j << mm.row(2, y)[x], mm.row(3, y)[x], mm.row(4, y)[x], mm.row(5, y)[x];
      const double least = j.jacobiSvd().singularValues()(1);
      if (least > 0) scale = {1 / least, off};
    }
  }
  return scale;
}

// In the probe picture; 0 where the placement is not seen.
double PxPerMm(const SolvedScene& solved, const Placement& placement, const SurfaceMm& centre,
               const Frame& frame) {
  const FittedSurface& fitted = solved.surfaces[placement.surface];
  const PlacedArea placed = AreaOf(fitted, placement);
  Scale best;
  double best_beyond = std::numeric_limits<double>::infinity();
  for (size_t i = 0; i < placed.faces.size(); ++i) {
    const Face& face = fitted.faces[placed.faces[i]];
    const SurfaceMm at = placed.area_from_face[i].Inverse()(centre);
    // The face that holds the centre, else the one nearest to it.
    const double beyond = std::max({face.area.low.x - at.x, at.x - face.area.high.x,
                                    face.area.low.y - at.y, at.y - face.area.high.y, 0.0});
    for (const auto& chart : face.charts) {
      const Scale scale = ScaleAt(chart->Picture(frame), at);
      if (!(scale.px_per_mm > 0) || beyond + scale.off_mm >= best_beyond) continue;
      best = scale;
      best_beyond = beyond + scale.off_mm;
    }
  }
  return best.px_per_mm;
}

}  // namespace

Ppi ResolvedFrom(double metres) {
  const double mm = metres * kMmPerMetre * std::tan(kDegreesPerMinute / kDegreesPerRad);
  return {kMmPerInch / mm};
}

Result<DistanceView> ViewFrom(const SolvedScene& solved, const ArtworkByName& artworks,
                              const Placed<double>& metres) {
  const SizePx photo = solved.photo.size;
  const auto side = [](int64_t px, double times) { return static_cast<double>(px) * times; };
  const auto whole = [](double px) { return std::max<int64_t>(1, std::llround(px)); };
  const Frame frame = FrameSmall(photo);

  DistanceView view;
  double largest = 0, photo_px_per_mm = 0;
  for (const Placement& placement : solved.scene.placements) {
    const FittedSurface& fitted = solved.surfaces[placement.surface];
    if (!fitted.size_known) continue;
    const PrintArea area = AreaOf(fitted, placement).area;
    SurfaceMm size = SizeOf(area), centre = area.centre;
    const auto artwork = artworks.find(placement.artwork.value);
    if (artwork != artworks.end() && artwork->second != nullptr) {
      const PlacedSize placed = PlacedSizeOf(solved, placement, *artwork->second);
      size = placed.size;
      centre = placed.centre;
    }
    if (!(size.x * size.y > largest)) continue;
    const double px_per_mm = PxPerMm(solved, placement, centre, frame) / frame.scale();
    if (!(px_per_mm > 0)) continue;
    largest = size.x * size.y;
    photo_px_per_mm = px_per_mm;
    view.surface = solved.scene.surfaces[placement.surface].name.value;
  }
  if (!(largest > 0)) {
    return Error{
        metres.place, metres.key,
        "expected something placed, in sight, on a surface whose size in mm is known; write "
        "the size of a surface"};
  }
  view.wanted = ResolvedFrom(metres.value);
  view.photo = {photo_px_per_mm * kMmPerInch};
  const double times = view.wanted.value / view.photo.value;
  const double width = side(photo.width, times), height = side(photo.height, times);
  if (!(std::min(width, height) >= 0.5) || !(std::max(width, height) < kMaxPictureSidePx + 0.5)) {
    return Error{metres.place, metres.key,
                 fmt::format("expected a distance at which the picture has sides of 1 to {} px; at "
                             "{:.3g} px an inch on {} they are {:.0f} and {:.0f} px",
                             kMaxPictureSidePx, view.wanted.value, view.surface, width, height)};
  }
  view.size = {whole(width), whole(height)};
  return view;
}

}  // namespace wheatpaste
