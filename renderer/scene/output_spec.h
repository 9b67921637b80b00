// output_spec.h - what file of a picture is wanted: its size, how it sits on the sheet, how it is encoded.
//
// Used    by a run sheet's [[output]] and by the options of `render`, which fill the same fields.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "base/units.h"
#include "colour/srgb.h"
#include "scene/sizes.h"

namespace wheatpaste {

// How a picture of another shape comes onto the sheet. The photo is never stretched.
enum class PictureFit {
  kCover,   // fills it; what does not fit is cut off
  kContain  // all of it is seen, on a ground
};

enum class Compression { kNone, kLzw, kDeflate };

struct OutputSpec {
  Placed<std::string> name;         // of a run sheet's output
  Placed<std::string> format;       // "png", "jpeg", "tiff", "webp", "pdf"
  std::optional<PictureSize> size;  // none: the photo's own
  Placed<std::string> size_text;    // as written, for messages
  std::optional<Ppi> density;       // none: of the kind of size (sizes.h)
  double pixel_ratio = 1;           // device px per px of a size in px
  PictureFit fit = PictureFit::kCover;
  Srgb8 ground{255, 255, 255};  // around a contained picture
  double bleed_mm = 0;          // beyond the size, on every side
  bool crop_marks = false;
  std::optional<Placed<std::string>> profile;  // none: the photo's own
  std::optional<int> depth;  // 8 or 16; none: the photo's, where the format holds it
  Compression compression = Compression::kDeflate;  // of TIFF
  bool tiles = false;                               // TIFF in tiles, not in strips
  int quality = 92;                                 // of JPEG and WebP, 1 to 100
  bool sharp_artwork = false;  // as sharp as the picture allows, whatever the photo's focus
};

}  // namespace wheatpaste
