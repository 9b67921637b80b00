// camera.h - the focal length behind the photo, and where it is known from.
//
// Order   the scene's focal_px; its focal_35mm; EXIF; the marks themselves (solve_camera.h); a stated default.
//         A focal length in 35 mm equivalent compares diagonals: focal_px = f35 * diagonal_px / 43.27 mm
//         (diagonal of 36 x 24 mm; CIPA DCG-001, from memory).
#pragma once

#include "base/rect.h"
#include "geometry/coords.h"
#include "geometry/lens.h"

namespace wheatpaste {

enum class FocalSource { kScene, kExif, kSolved, kDefault };

struct Camera {
  double focal_px = 0;
  double focal_sd_px = 0;  // one standard deviation where solved; 0: not known to be uncertain
  FocalSource source = FocalSource::kDefault;
  PhotoPx principal;  // the photo's centre
  Lens lens;          // of the same focal length and principal point, with the photo's distortion

  // True where a marked rectangle can be held against it.
  bool is_known() const { return source == FocalSource::kScene || source == FocalSource::kExif; }
};

// Taken where nothing tells: the main camera of common telephones (common practice, no source).
inline constexpr double kDefaultFocal35mm = 26.0;
// A solved focal length less certain than this share of itself is not used.
inline constexpr double kMostFocalUncertainty = 0.25;

// In plain words: "given in the scene", "from the photo's EXIF", ...
const char* NameOf(FocalSource source);

double FocalPxFrom35mm(double focal_35mm, SizePx photo);

}  // namespace wheatpaste
