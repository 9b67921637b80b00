#include "composite/view_distance.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <vector>

#include <fmt/format.h>

#include "composite/shown_scale.h"
#include "scene/sizes.h"

namespace wheatpaste {
namespace {

constexpr double kDegreesPerMinute = 1.0 / 60;
constexpr double kMmPerMetre = 1000;

// Of the photo, along the direction that it foreshortens least; 0 where the placement is not seen.
double PhotoPxPerMm(const SolvedScene& solved, const Placement& placement,
                    const SurfaceMm& centre) {
  const FittedSurface& fitted = solved.surfaces[placement.surface];
  const Frame frame = FrameSmall(solved.photo.size);
  std::deque<ChartPicture> made;
  std::vector<FacePicture> pictures;
  for (const size_t face : AreaOf(fitted, placement).faces) {
    for (const auto& chart : fitted.faces[face].charts) {
      made.push_back(chart->Picture(frame));
      pictures.push_back({face, &made.back()});
    }
  }
  const auto scale = ScaleShown(fitted, placement, centre, pictures);
  return scale ? scale->largest / frame.scale() : 0;
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
    const double px_per_mm = PhotoPxPerMm(solved, placement, centre);
    if (!(px_per_mm > 0)) continue;
    largest = size.x * size.y;
    photo_px_per_mm = px_per_mm;
    view.surface = solved.scene.surfaces[placement.surface].name.value;
  }
  const std::string subject =
      metres.key.empty() ? "" : fmt::format("{} = {:g}", metres.key, metres.value);
  if (!(largest > 0)) {
    return Error{
        metres.place, subject,
        "expected something placed, in sight, on a surface whose size in mm is known; write "
        "the size of a surface"};
  }
  view.wanted = ResolvedFrom(metres.value);
  view.photo = {photo_px_per_mm * kMmPerInch};
  const double times = view.wanted.value / view.photo.value;
  const double width = side(photo.width, times), height = side(photo.height, times);
  if (!(std::min(width, height) >= 0.5) || !(std::max(width, height) < kMaxPictureSidePx + 0.5)) {
    return Error{metres.place, subject,
                 fmt::format("expected a distance at which the picture has sides of 1 to {} px; at "
                             "{:.3g} px an inch on {} they are {:.0f} and {:.0f} px",
                             kMaxPictureSidePx, view.wanted.value, view.surface, width, height)};
  }
  view.size = {whole(width), whole(height)};
  return view;
}

std::string DistanceNote(const DistanceView& view, double metres) {
  return fmt::format(
      "as seen from {:g} m: {:.1f} px an inch on {}, one minute of arc each; the photo has "
      "{:.1f}{}",
      metres, view.wanted.value, view.surface, view.photo.value,
      view.wanted.value > view.photo.value
          ? ", is enlarged and looks soft; vector artwork is drawn at the picture's size"
          : "");
}

}  // namespace wheatpaste
