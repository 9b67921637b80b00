#include "composite/memory_for.h"

#include <algorithm>
#include <cmath>

#include "composite/artwork_drawer.h"
#include "image/elliptical_average.h"
#include "surface/artwork_spans.h"

namespace wheatpaste {
namespace {

// Side of the picture in which charts are looked at.
constexpr double kProbeSidePx = 160;

// Bytes. Fixed: the program, its libraries, tables of films and presses.
constexpr double kFixed = 90e6;
// A px of the analysed picture: light, codes, what grain and blur are told from.
constexpr double kAnalysed = 24;
// A px of a placed chart's bounds: seen, mm and their change; irradiance, texture, gloss, normals; the analysis's own.
constexpr double kChart = 100, kLitChart = 190;
// A px of an artwork's raster: drawn, and as a pyramid; with a film, two pyramids; with finishes, planes of theirs.
constexpr double kRaster = 40, kFilm = 45, kFinish = 60;
// Of a tile: all of it, with light, charts and noise.
constexpr double kTile = 170;

struct Seen {
  double share = 0;      // of the picture, in which the face's bounds lie
  double px_per_mm = 0;  // of the probe
};

Seen SeenOf(const Face& face, const Frame& probe) {
  Seen seen;
  for (const auto& chart : face.charts) {
    const ChartPicture picture = chart->Picture(probe);
    const double area = static_cast<double>(picture.region.width() * picture.region.height());
    seen.share += area / static_cast<double>(probe.size.area());
    seen.px_per_mm = std::max(seen.px_per_mm, LargestPxPerMm(picture, SizeOf(face.area)));
  }
  return seen;
}

// The same part of the photo, smaller.
Frame Probe(const Frame& frame) {
  const double longest = static_cast<double>(std::max(frame.size.width, frame.size.height));
  const double shrink = std::min(1.0, kProbeSidePx / longest);
  Frame probe = frame;
  probe.size.width =
      std::max<int64_t>(1, static_cast<int64_t>(static_cast<double>(frame.size.width) * shrink));
  const double step = frame.window.width / static_cast<double>(probe.size.width);
  probe.size.height =
      std::max<int64_t>(1, static_cast<int64_t>(std::ceil(frame.window.height / step)));
  probe.window.height = step * static_cast<double>(probe.size.height);
  return probe;
}

// mm^2 that the placement may cover, at most.
double AreaOf(const Placement& placement, const PrintArea& area) {
  const SurfaceMm size = SizeOf(area);
  if (placement.width_mm) return *placement.width_mm * std::max(size.y, *placement.width_mm);
  if (placement.height_mm) return *placement.height_mm * std::max(size.x, *placement.height_mm);
  return size.x * size.y;
}

}  // namespace

int64_t MemoryFor(const SolvedScene& solved, const PictureWish& wish) {
  const SizeLimits limits;
  const Scene& scene = solved.scene;
  const Frame frame = FramePhoto(solved.photo.size, wish.size.value_or(solved.photo.size));
  const bool large = IsLarge(frame, limits);
  const Frame analysed = large ? AnalysedFrame(frame, limits) : frame;
  const Frame probe = Probe(frame);
  const auto picture_px = static_cast<double>(analysed.size.area());
  const auto photo_px = static_cast<double>(solved.photo.size.area());
  const double depth_bytes = solved.photo.depth / 8;

  double bytes = kFixed + photo_px * solved.photo.channels() * depth_bytes + kAnalysed * picture_px;
  if (!large && !frame.is_photo()) bytes += 12 * photo_px;
  if (scene.photo.occlusion.matte) bytes += 4 * photo_px;
  double rasters = 0;
  for (size_t i = 0; i < scene.surfaces.size(); ++i) {
    if (scene.surfaces[i].occlusion.matte) bytes += 4 * photo_px;
    for (size_t face = 0; face < solved.surfaces[i].faces.size(); ++face) {
      const Face& of = solved.surfaces[i].faces[face];
      std::optional<Seen> seen;
      bool lit = false;
      for (const Placement& placement : scene.placements) {
        if (!LiesOn(placement, i, face)) continue;
        if (!seen) seen = SeenOf(of, probe);
        lit |= placement.ink.value.hides() || !placement.finishes.empty();
        const double density = kRasterDensity * seen->px_per_mm * frame.scale() / probe.scale();
        const double px = std::min(AreaOf(placement, of.area) * density * density,
                                   static_cast<double>(large ? kMostPartPx : kMostRasterPx));
        const double each = kRaster + (placement.ink.value.is_plain() ? 0 : kFilm) +
                            (placement.finishes.empty() ? 0 : kFinish);
        rasters += px * each;
      }
      if (seen) bytes += seen->share * picture_px * (lit ? kLitChart : kChart);
    }
  }
  if (large) {
    const double side = static_cast<double>(limits.tile_px);
    const double codes = 3 * depth_bytes * static_cast<double>(frame.size.width) * side;
    bytes += kTile * side * side + 2 * codes;
  }
  return static_cast<int64_t>(bytes + rasters);
}

}  // namespace wheatpaste
