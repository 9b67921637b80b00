// output_spec.h - what file of a picture is wanted: its size, how it sits on the sheet, how it is encoded.
//
// Used    by a run sheet's [[output]] and by the options of `render`, which fill the same fields (read_output.h).
// Model   the sheet is what is left when the paper is cut; its bleed lies beyond it on every side.
//           sheet px       round(mm / 25.4 * ppi), or px * pixel_ratio
//           with bleed     round((mm + 2 bleed) / 25.4 * ppi), or sheet px + round(2 bleed / 25.4 * ppi)
//         so that the whole is right to half a px; the two sides of a bleed may then differ by one.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "base/units.h"
#include "colour/colour_vision.h"
#include "colour/srgb.h"
#include "scene/sizes.h"

namespace wheatpaste {

// Density written where neither a density nor the size says: CSS pixels.
inline constexpr Ppi kScreenDensity{kCssPxPerInch};
// Of a size in mm or inches without a density: print.
inline constexpr Ppi kPrintDensity{300};

// How a picture of another shape comes onto the sheet. The photo is never stretched.
enum class PictureFit {
  kCover,   // fills it; what does not fit is cut off
  kContain  // all of it is seen, on a ground
};

enum class Compression { kNone, kLzw, kDeflate };

// A picture as people with a deficiency of colour vision see it.
struct OutputVision {
  ColourDeficiency deficiency = ColourDeficiency::kProtan;
  double severity = 1;  // 0 none to 1 complete
};

// JPEG and WebP where no quality is asked for.
inline constexpr int kUsualQuality = 92;

struct OutputSpec {
  Placed<std::string> name;         // of a run sheet's output
  Placed<std::string> format;       // "png", "jpeg", "tiff", "webp", "pdf"
  std::optional<PictureSize> size;  // none: the photo's own
  Placed<std::string> size_text;    // as written, for messages
  // As large as it is seen from there (composite/view_distance.h); then there is no size.
  std::optional<Placed<double>> from_metres;
  std::optional<Ppi> density;  // none: of the kind of size
  double pixel_ratio = 1;      // device px per px of a size in px
  PictureFit fit = PictureFit::kCover;
  Srgb8 ground{255, 255, 255};  // around a contained picture
  double bleed_mm = 0;          // beyond the size, on every side
  bool crop_marks = false;
  std::optional<Placed<std::string>> profile;  // none: the photo's own
  std::optional<int> depth;  // 8 or 16; none: the photo's, where the format holds it
  Compression compression = Compression::kDeflate;  // of TIFF
  bool tiles = false;                               // TIFF in tiles, not in strips
  // 1 to 100; none: kUsualQuality for JPEG and WebP, and PDF without loss.
  std::optional<int> quality;
  bool sharp_artwork = false;          // as sharp as the picture allows, whatever the photo's focus
  std::optional<OutputVision> vision;  // none: as it is
};

// Px per inch that the file states.
Ppi DensityOf(const OutputSpec& spec);

struct SheetSize {
  SizePx trimmed;
  SizePx with_bleed;
};

// None where the photo's own size is wanted, or one from a distance. No limit is checked here.
std::optional<SheetSize> SheetSizeOf(const OutputSpec& spec);

// errors  at spec.size_text: a side of the sheet with its bleed is outside the limits of sizes.h.
Status CheckSheetSize(const OutputSpec& spec);

}  // namespace wheatpaste
