#include "composite/prepare_artwork.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "image/elliptical_average.h"

namespace wheatpaste {
namespace {

// Surface mm that one output pixel spans at the least, so that "on the edge" means the same everywhere.
double HalfPixelMm(const Map<OutputPx, SurfaceMm>& output_from_surface, const SurfaceMm& size) {
  double largest = 0;
  for (const SurfaceMm& corner : {SurfaceMm{0, 0}, {size.x, 0}, {size.x, size.y}, {0, size.y}}) {
    const Eigen::Matrix2d j = output_from_surface.Jacobian(corner);
    largest = std::max({largest, j.col(0).norm(), j.col(1).norm()});
  }
  return largest > 0 ? 0.5 / largest : 0;
}

SizePx RasterSize(const Artwork& artwork, const PlacedSize& placed, double px_per_mm) {
  double width = placed.size.x * px_per_mm, height = placed.size.y * px_per_mm;
  if (!artwork.is_vector()) {
    // A bitmap holds no more than its pixels; twice as many let the average follow its own smooth
    // interpolation. One that holds far more than is asked for is reduced once, here.
    const auto w = static_cast<double>(artwork.pixels().width);
    const auto h = static_cast<double>(artwork.pixels().height);
    width = width > w ? std::min(width, 2 * w) : (2 * width < w ? width : w);
    height = height > h ? std::min(height, 2 * h) : (2 * height < h ? height : h);
  }
  const double shrink =
      std::min(1.0, std::sqrt(static_cast<double>(kMostRasterPx) / std::max(1.0, width * height)));
  const auto side = [&](double length) {
    return std::clamp<int64_t>(static_cast<int64_t>(std::ceil(length * shrink)), 1,
                               int64_t{1} << 17);
  };
  return {side(width), side(height)};
}

}  // namespace

PlacedSize PlacedSizeOf(const SolvedScene& solved, const Placement& placement,
                        const Artwork& artwork) {
  const FittedPlane& plane = solved.planes[placement.surface];
  return PlaceArtwork(placement, plane.size, artwork.aspect(), 0);
}

Result<std::vector<PreparedArtwork>> PrepareArtworks(const PreparedScene& prepared,
                                                     const ArtworkByName& artworks) {
  const Scene& scene = prepared.solved.scene;
  std::vector<PreparedArtwork> result;
  std::map<std::tuple<std::string, int64_t, int64_t, int>, std::shared_ptr<const Pyramid>> drawn;
  Errors errors;
  for (size_t i = 0; i < scene.placements.size(); ++i) {
    const Placement& placement = scene.placements[i];
    const auto found = artworks.find(placement.artwork.value);
    WHEATPASTE_CHECK(found != artworks.end());
    const Artwork& artwork = *found->second;
    const PreparedSurface& surface = prepared.surfaces[placement.surface];
    const SurfaceMm& surface_size = prepared.solved.planes[placement.surface].size;

    PreparedArtwork ready;
    ready.placement = i;
    ready.placed = PlaceArtwork(placement, surface_size, artwork.aspect(),
                                HalfPixelMm(surface.output_from_surface, surface_size));
    const double px_per_mm = RasterPxPerMm(surface.output_from_surface, ready.placed, surface_size,
                                           prepared.frame.size, kRasterDensity);
    if (px_per_mm > 0 && !surface.visibility.region.empty()) {
      ready.outline = PicturedOutline(surface.output_from_surface, ready.placed, surface_size);
    }
    if (!ready.outline.empty()) {
      const SizePx size = RasterSize(artwork, ready.placed, px_per_mm);
      const Edges& bleeds = ready.placed.bleeds;
      const int sides = bleeds.repeat_left | bleeds.repeat_top << 1 | bleeds.repeat_right << 2 |
                        bleeds.repeat_bottom << 3;
      auto& pyramid = drawn[{placement.artwork.value, size.width, size.height, sides}];
      if (pyramid == nullptr) {
        auto raster = artwork.Rasterise(size);
        if (!raster) {
          errors.insert(errors.end(), raster.errors().begin(), raster.errors().end());
          continue;
        }
        pyramid = std::make_shared<const Pyramid>(std::move(*raster), bleeds);
      }
      ready.pyramid = pyramid;
      Eigen::Matrix3d scale = Eigen::Matrix3d::Identity();
      scale(0, 0) = static_cast<double>(size.width);
      scale(1, 1) = static_cast<double>(size.height);
      const Map<ArtworkPx, ArtworkUv> raster_from_artwork(scale);
      ready.artwork_from_output = raster_from_artwork *
                                  ready.placed.surface_from_artwork.Inverse() *
                                  surface.output_from_surface.Inverse();
      ready.raster_px_per_output_px =
          static_cast<double>(size.width) / (ready.placed.size.x * px_per_mm) * kRasterDensity;
    }
    result.push_back(std::move(ready));
  }
  if (!errors.empty()) return errors;
  return result;
}

}  // namespace wheatpaste
