#include "surface/camera.h"

#include <cmath>

namespace wheatpaste {

const char* NameOf(FocalSource source) {
  switch (source) {
    case FocalSource::kScene:
      return "given in the scene";
    case FocalSource::kExif:
      return "from the photo's EXIF";
    case FocalSource::kSolved:
      return "solved from the marks";
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

}  // namespace wheatpaste
