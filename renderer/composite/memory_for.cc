#include "composite/memory_for.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "composite/artwork_drawer.h"
#include "image/elliptical_average.h"
#include "surface/artwork_spans.h"

namespace wheatpaste {
namespace {

// Side of the picture in which charts are looked at.
constexpr double kProbeSidePx = 160;

// Bytes. Fixed: the program, its libraries, tables of films and presses.
constexpr double kFixed = 50e6;
// A px of the analysed picture: light, codes, what grain and blur are told from.
constexpr double kAnalysed = 20;
// A px of a placed chart's bounds: seen, mm and their change; irradiance, texture, gloss, normals; the analysis's own.
constexpr double kChart = 60, kLitChart = 100;
// A px of an artwork's raster as a pyramid; with a film another; with finishes, planes of theirs and what they are made of.
constexpr double kRaster = 22, kFilm = 22, kFinish = 75;
// Of a tile: all of it, with light, charts and noise.
constexpr double kTile = 150;
// A triangle of a stage: as a solid 192 with its vertices 24, in the world 104 and 24, in the mesh that surfaces ask 150 and 24, in two of Embree's
// trees some 100 each.
constexpr double kTriangle = 720;
// A px of a stage's photograph as it is kept: codes twice, light, mirrored light; and while shared pixels are mended three masks and two pictures.
constexpr double kStagePhoto = 72;
// Of one that is taken, when its noise is filtered: sums 80, averages 36, what guides the filter 36, what it filters 16, gathers 60 and makes 12, and
// some more; what comes of it, pictures 36 and codes 18, stands beside sums and averages alone.
constexpr double kTaken = 250;
// More of either for each face whose print throws colour on others: a picture of light kept, its sums 24 and their filtered mean while it is taken.
constexpr double kThrownKept = 12, kThrownTaken = 36;
// A light map is held as read, packed for looking up, and as sums to draw from.
constexpr double kLightMap = 2.5;
// A texture is held as read, and with the bands of a pixel side by side.
constexpr double kTexture = 2.4;
// Raster px of a tile's px, with what is read about them.
constexpr double kTileRaster = 3;

struct Seen {
  double share = 0;      // of the picture, in which the face's bounds lie
  double px_per_mm = 0;  // of the probe
  bool lit = false;
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

// mm^2 that the placement may cover, at most: as high (or as wide) as the faces that it lies on.
double AreaOf(const Placement& placement, const PrintArea& area) {
  const SurfaceMm size = SizeOf(area);
  if (placement.width_mm) return *placement.width_mm * size.y;
  if (placement.height_mm) return *placement.height_mm * size.x;
  return size.x * size.y;
}

// Of a stage as it is built, whatever the photograph's size; with textures and light map where it is still to be taken.
double BuiltBytes(const BuiltStage& built) {
  const World& world = built.world;
  double bytes = kTriangle * static_cast<double>(world.triangles.size());
  std::set<const void*> counted;  // materials share textures
  const auto add = [&](const auto& image, double times) {
    if (!image || !counted.insert(image.get()).second) return;
    bytes += times * 4 * image->kPlanes * static_cast<double>(image->size().area());
  };
  for (const WorldMaterial& material : world.materials) {
    if (!material.texture) continue;
    add(material.texture->colour, kTexture);
    add(material.texture->normal, kTexture);
    add(material.texture->roughness, kTexture);
  }
  if (world.light_map) {
    add(world.light_map->sky, kLightMap);
    add(world.light_map->behind, 1);
  }
  return bytes;
}

}  // namespace

int64_t MemoryFor(const SolvedScene& solved, const PictureWish& wish) {
  const SizeLimits limits;
  const Scene& scene = solved.scene;
  const Frame frame = FramePhoto(solved.photo.size, wish);
  const bool large = IsLarge(frame, limits);
  const Frame analysed = large ? AnalysedFrame(frame, limits) : frame;
  const Frame probe = Probe(frame);
  const auto picture_px = static_cast<double>(analysed.size.area());
  const auto photo_px = static_cast<double>(solved.photo.size.area());
  const double depth_bytes = solved.photo.depth / 8;

  double bytes = kFixed + photo_px * solved.photo.channels() * depth_bytes + kAnalysed * picture_px;
  if (!large && !frame.is_photo()) bytes += 12 * photo_px;
  if (scene.photo.occlusion.matte) bytes += 4 * photo_px;
  for (const Surface& surface : scene.surfaces) {
    if (surface.occlusion.matte) bytes += 4 * photo_px;
  }
  std::map<std::pair<size_t, size_t>, Seen> faces;  // that something lies on
  double rasters = 0, most_a_px = 0;
  for (const Placement& placement : scene.placements) {
    const FittedSurface& fitted = solved.surfaces[placement.surface];
    const PlacedArea placed = AreaOf(fitted, placement);
    double px_per_mm = 0;
    for (const size_t face : placed.faces) {
      const auto [at, is_new] = faces.try_emplace({placement.surface, face});
      if (is_new) at->second = SeenOf(fitted.faces[face], probe);
      at->second.lit |= placement.ink.value.hides() || !placement.finishes.empty();
      px_per_mm = std::max(px_per_mm, at->second.px_per_mm);
    }
    const double density = kRasterDensity * px_per_mm * frame.scale() / probe.scale();
    const double px = std::min(AreaOf(placement, placed.area) * density * density,
                               static_cast<double>(kMostRasterPx));
    const double a_px = kRaster + (placement.ink.value.is_plain() ? 0 : kFilm) +
                        (placement.finishes.empty() ? 0 : kFinish);
    rasters += px * a_px;
    most_a_px = std::max(most_a_px, a_px);
  }
  for (const auto& [face, seen] : faces) {
    bytes += seen.share * picture_px * (seen.lit ? kLitChart : kChart);
  }
  if (large) {
    const auto side = static_cast<double>(limits.tile_px);
    const double strip = 3 * depth_bytes * static_cast<double>(frame.size.width) * side;
    bytes += kTile * side * side + strip;
    rasters = std::min(rasters, most_a_px * kTileRaster * side * side);
  }
  bytes += rasters;
  if (solved.stage) {
    const double built = BuiltBytes(solved.stage->built());
    // Whether the photograph is kept already is not asked.
    const auto throwers = static_cast<double>(solved.stage->stage().colour_transfer.size());
    const double kept = kStagePhoto + throwers * kThrownKept;
    const double taken = kTaken + throwers * kThrownTaken;
    bytes = std::max(bytes + built + kept * photo_px, kFixed + built + taken * photo_px);
  }
  return static_cast<int64_t>(bytes);
}

}  // namespace wheatpaste
