#include "composite/prepare_scene.h"

#include <algorithm>
#include <cmath>

#include "image/read_bitmap.h"

namespace wheatpaste {
namespace {

// Half a window of the shading filter against the surface's side in the picture: wide enough to average
// weave and plaster, narrow against the shadows of things.
constexpr double kShadingRadiusShare = 0.012;
constexpr int kLeastShadingRadius = 2, kMostShadingRadius = 64;

int ShadingRadius(const RectPx& region) {
  const double side = std::sqrt(static_cast<double>(region.width() * region.height()));
  return std::clamp(static_cast<int>(std::lround(kShadingRadiusShare * side)), kLeastShadingRadius,
                    kMostShadingRadius);
}

bool HidesSubstrate(const Scene& scene, size_t surface) {
  return std::any_of(scene.placements.begin(), scene.placements.end(), [&](const Placement& p) {
    return p.surface == surface && p.ink.value.opacity > 0;
  });
}

// The region's part of a picture, without copying.
template <typename Colour>
ImageView<Colour> Part(ImageView<Colour> whole, const RectPx& region) {
  return {whole.row(0, region.y0) + region.x0,
          {region.width(), region.height()},
          whole.row_stride(),
          whole.plane_stride()};
}

}  // namespace

Result<SolvedScene> SolveScene(Scene scene) {
  auto photo = ReadBitmap(scene.photo.file);
  if (!photo) return photo.errors();
  SolvedScene solved;
  solved.camera = FindCamera(scene.photo, photo->size, photo->exif.focal_35mm, scene.surfaces);
  Errors errors;
  for (const Surface& surface : scene.surfaces) {
    auto plane = FitPlane(surface, photo->size, solved.camera);
    if (!plane) {
      errors.insert(errors.end(), plane.errors().begin(), plane.errors().end());
    } else {
      solved.planes.push_back(std::move(*plane));
    }
  }
  if (!errors.empty()) return errors;
  solved.photo = std::move(*photo);
  solved.scene = std::move(scene);
  return solved;
}

Result<PreparedScene> PrepareScene(SolvedScene solved, std::optional<SizePx> size) {
  PreparedScene prepared;
  prepared.frame = FramePhoto(solved.photo.size, size.value_or(solved.photo.size));
  const Map<OutputPx, PhotoPx> output_from_photo = prepared.frame.output_from_photo();
  Errors errors;
  for (size_t i = 0; i < solved.planes.size(); ++i) {
    auto visibility = FindVisibility(solved.scene.surfaces[i], solved.planes[i], prepared.frame);
    if (!visibility) {
      errors.insert(errors.end(), visibility.errors().begin(), visibility.errors().end());
      continue;
    }
    prepared.surfaces.push_back({output_from_photo * solved.planes[i].photo_from_surface,
                                 std::move(*visibility), std::nullopt});
  }
  if (!errors.empty()) return errors;
  prepared.base = MakeBasePicture(solved.photo, prepared.frame);
  for (size_t i = 0; i < prepared.surfaces.size(); ++i) {
    PreparedSurface& surface = prepared.surfaces[i];
    const RectPx& region = surface.visibility.region;
    if (region.empty() || !HidesSubstrate(solved.scene, i)) continue;
    surface.shading = SeparateShading(
        Part(prepared.base.light.view(), region), surface.visibility.seen.view(),
        solved.scene.surfaces[i].substrate.value.reflectance, ShadingRadius(region));
  }
  // What was decoded is in the base picture now.
  solved.photo.codes = Bytes();
  prepared.solved = std::move(solved);
  return prepared;
}

}  // namespace wheatpaste
