// artwork.h - the designer's flat artwork: SVG, PDF (first page), PNG, JPEG, TIFF or WebP.
//
// Units   a vector artwork has a natural size in mm (SVG: width and height, 96 CSS px to the inch;
//         PDF: the page's crop box); where an SVG has only a viewBox, its units count as CSS px.
//         A bitmap has pixels and, where stated, a density.
// Safety  SVG: no network, no external entity, no file but bitmaps in the SVG's own folder or
//         below; whatever else it refers to is an error, not a missing picture. Read and drawn by
//         child processes with limits on time and memory (drawing_process.h).
//         PDF: read by pdftocairo, a process of its own with the same limits (read_pdf.h).
// Threads an Artwork is immutable once read; Rasterise may run from several threads at once.
#pragma once

#include <functional>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "artwork/recolour.h"
#include "base/error.h"
#include "base/files.h"
#include "base/rect.h"
#include "base/units.h"
#include "colour/profile.h"
#include "colour/srgb.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int64_t kMaxArtworkBytes = int64_t{256} << 20;

class Artwork {
 public:
  virtual ~Artwork() = default;

  // Width divided by height; positive and finite.
  virtual double aspect() const = 0;
  virtual bool is_vector() const = 0;
  // Pixels of a bitmap; {0, 0} for vector artwork.
  virtual SizePx pixels() const = 0;
  // "sRGB", the embedded profile's description, or "sRGB (assumed)" for an untagged bitmap.
  virtual const std::string& colour_description() const = 0;

  // Natural size of vector artwork; 0 for a bitmap.
  virtual Mm width_mm() const { return {}; }
  virtual Mm height_mm() const { return {}; }
  // What the user should know although it is no mistake, one plain sentence each.
  virtual std::vector<std::string> notes() const { return {}; }

  // The colours that vector artwork states, as its file has them, where it was read with a Recolouring;
  // else none.
  virtual std::set<Srgb8> colours() const { return {}; }

  // The whole artwork at `size` artwork px, premultiplied in linear light; [0,1]x[0,1] uv is the
  // whole raster. Vector artwork is drawn at that density; a bitmap is resampled in linear light
  // (Catmull-Rom to enlarge, the same kernel widened to reduce).
  // errors  the drawing fails, or runs out of its time.
  Result<Image<LinearPremul>> Rasterise(SizePx size) const;
  // A part of that raster, within it, made alone: the same values as there.
  Result<Image<LinearPremul>> RasterisePart(SizePx size, const RectPx& part) const;
  // The same as it is made, so that nobody need hold it whole: each row of the part once, a few at a
  // time, in any order, from several threads at once.
  // y0  of the first row, artwork px of the whole raster.
  using TakeRows = std::function<void(int64_t y0, Image<LinearPremul> rows)>;
  virtual Status RasteriseRows(SizePx size, const RectPx& part, const TakeRows& take) const = 0;
};

// errors  no such file, none of the six formats, damaged, external reference, too deep, too large;
//         at the place of the key that named the file.
Result<std::shared_ptr<const Artwork>> ReadArtwork(const Placed<std::string>& path);

// Profile that stands in for CMYK without one, and its name for the note.
struct AssumedInks {
  Profile profile;
  std::string name;
};
// In other colours (recolour.h).
// press    none: CMYK without a profile is refused.
// errors   also: a colour that the artwork lacks, with those it has; a bitmap (both only where the
//          recolouring is required); colours written in a way that is not followed.
Result<std::shared_ptr<const Artwork>> ReadArtwork(const Placed<std::string>& path,
                                                   const Recolouring& recolouring,
                                                   const AssumedInks* press = nullptr);

// The same from memory; `path` serves for messages and as the base of relative references.
Result<std::shared_ptr<const Artwork>> DecodeArtwork(Bytes bytes, const Placed<std::string>& path,
                                                     const Recolouring& recolouring = {},
                                                     const AssumedInks* press = nullptr);

}  // namespace wheatpaste
