#include "surface/camera.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "geometry/quad.h"

namespace wheatpaste {

const char* NameOf(FocalSource source) {
  switch (source) {
    case FocalSource::kScene:
      return "given in the scene";
    case FocalSource::kExif:
      return "from the photo's EXIF";
    case FocalSource::kSolved:
      return "solved from the marked corners";
    case FocalSource::kDefault:
      return "not known, assumed";
  }
  return "";
}

double FocalPxFrom35mm(double focal_35mm, SizePx photo) {
  const double diagonal =
      std::hypot(static_cast<double>(photo.width), static_cast<double>(photo.height));
  return focal_35mm * diagonal / std::hypot(36.0, 24.0);
}

Camera FindCamera(const Photo& photo, SizePx photo_size, double exif_focal_35mm,
                  const std::vector<Surface>& surfaces) {
  Camera camera;
  camera.principal = {static_cast<double>(photo_size.width) / 2,
                      static_cast<double>(photo_size.height) / 2};
  if (photo.focal_px || photo.focal_35mm) {
    camera.focal_px =
        photo.focal_px ? *photo.focal_px : FocalPxFrom35mm(*photo.focal_35mm, photo_size);
    camera.source = FocalSource::kScene;
    return camera;
  }
  if (exif_focal_35mm > 0) {
    camera.focal_px = FocalPxFrom35mm(exif_focal_35mm, photo_size);
    camera.source = FocalSource::kExif;
    return camera;
  }
  std::optional<Estimate> best;
  for (const Surface& surface : surfaces) {
    if (surface.corners.size() != 4) continue;
    const Quad quad{surface.corners[0], surface.corners[1], surface.corners[2], surface.corners[3]};
    if (FindQuadFault(quad) != QuadFault::kNone) continue;
    const auto focal = FocalFromQuad(quad, camera.principal);
    if (!focal || focal->sd > kMostFocalUncertainty * focal->value) continue;
    if (!best || focal->sd / focal->value < best->sd / best->value) best = focal;
  }
  if (best) {
    camera.focal_px = best->value;
    camera.focal_sd_px = best->sd;
    camera.source = FocalSource::kSolved;
  } else {
    camera.focal_px = FocalPxFrom35mm(kDefaultFocal35mm, photo_size);
  }
  return camera;
}

}  // namespace wheatpaste
