// write_picture.h - finished pixels to a PNG, JPEG, TIFF, WebP or PDF file, whole or not at all.
//
// Pixels  interleaved codes of the profile's model: RGB, or in TIFF and PDF also CMYK, 0 where there is no ink;
//         8 bits, or 16 bits in native order (PNG and TIFF; the others hold 8).
// Keeps   the ICC profile (iCCP, APP2, tag 34675, ICCP chunk, ICCBased space), the density (pHYs, JFIF, resolution
//         tags; WebP carries it in an EXIF chunk, PDF as the size of its page) and an XMP packet (iTXt, APP1, tag 700,
//         XMP chunk, metadata stream). JPEG and PNG hold whole dots per inch and per metre.
// Lossy   JPEG, WebP, and PDF where `jpeg_in_pdf` asks for it. The others keep every code.
// Bytes   depend on nothing but the arguments: no times, no names, the same for any thread count.
// Rows    are asked for in order, in bands, so a large picture is never held twice.
#pragma once

#include <functional>
#include <string>

#include "base/error.h"
#include "base/files.h"
#include "base/rect.h"
#include "base/units.h"
#include "colour/profile.h"

namespace wheatpaste {

// JPEG and WebP: limits of the formats and of their libraries. A PNG or TIFF beyond this size could
// not be read by read_bitmap.h either.
inline constexpr int64_t kMaxJpegSidePx = 65500;
inline constexpr int64_t kMaxWebpSidePx = 16383;
inline constexpr int64_t kMaxPngSidePx = 1'000'000;
inline constexpr int64_t kMaxTiffSidePx = 1'000'000;
inline constexpr int64_t kMaxPdfSidePx = 1'000'000;

enum class PictureFormat { kPng, kJpeg, kTiff, kWebp, kPdf };

enum class TiffCompression { kNone, kLzw, kDeflate };

// From "png", "jpg", "jpeg", "tif", "tiff", "webp", "pdf" (any case).
// errors  at `path`: expected a name ending in one of these.
Result<PictureFormat> PictureFormatOf(const std::string& path);

// 16 where the format can hold it and `wanted_depth` is 16, else 8.
int DepthFor(PictureFormat format, int wanted_depth);

// errors  at `path`: the format holds no pictures of the profile's model.
Status CheckHolds(const std::string& path, PictureFormat format, const Profile& profile);

struct PictureFacts {
  SizePx size;
  int depth = 8;
  Ppi density{72};
  const Profile* profile = nullptr;  // RGB or CMYK; embedded as it is; none: RGB
  int quality =
      92;  // JPEG, WebP, JPEG in PDF; 1 to 100. JPEG is 4:4:4, so that flat brand colours keep their edges
  TiffCompression compression = TiffCompression::kDeflate;  // TIFF
  bool tiles = false;       // TIFF: tiles of 256 x 256 px instead of strips
  std::string description;  // TIFF: tag 270; empty: none
  std::string xmp;          // a finished packet (xmp.h); empty: none
  // PDF alone:
  bool jpeg_in_pdf = false;  // the picture as JPEG of that quality, a fraction of the bytes
  std::string title;         // UTF-8, plain; empty: none
  RectPx trim, bleed;        // in px of the picture; empty: the whole page. Trim lies within bleed
};

// rows(y0, y1) returns a pointer to rows [y0, y1), tightly packed, valid until the next call; null where they cannot
// be made: then no file is.
using RowSource = std::function<const uint8_t*(int64_t y0, int64_t y1)>;

// errors  cannot write (folder, permission, disk full): the system's own words; the side is beyond
//         what the format holds (constants above). Nothing is left behind.
// memory  a band and its compressed form: 4 MB of rows, for TIFF in tiles 256 rows, for PNG and JPEG 64. WebP alone
//         holds the whole picture, and its library several times over: 12 bytes a pixel at 9933 x 14043 px.
// threads TIFF's DEFLATE and the PDF's use those of base/parallel.h; the bytes do not depend on their number.
// returns the file's size in bytes.
Result<int64_t> WritePicture(const std::string& path, PictureFormat format,
                             const PictureFacts& facts, const RowSource& rows);

// The bytes of a JPEG file, for what holds pictures inside.
// facts  RGB, 8 bits, sides of at most kMaxJpegSidePx.
// rows   do not fail.
Bytes MakeJpeg(const PictureFacts& facts, const RowSource& rows);

}  // namespace wheatpaste
