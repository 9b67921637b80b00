// read_bitmap.h - JPEG, PNG, TIFF and WebP files, told by their first bytes, never by their name.
//
// Limits  a file of at most kMaxBitmapBytes, a picture of at most kMaxBitmapPx pixels and
//         kMaxBitmapSidePx a side: all checked before any pixel memory is asked for.
// Keeps   8 and 16 bits, alpha, gray, RGB, CMYK and Lab, the ICC profile, density, EXIF. Fewer bits
//         and palettes are widened to 8; other sample kinds (float TIFF) are refused by name. CMYK
//         codes are 0 where there is no ink. Lab codes have one encoding, that of ICC.1:2022,
//         10.14: L from 0 to 100 and a, b from -128 to 127 over the whole range, 8 and 16 bits.
// Damage  a file that ends early, or whose checksums or codes do not hold, is an error, never a
//         picture with a gray half. An EXIF block that cannot be read counts as saying nothing.
// Turning the picture is turned upright by its EXIF (or TIFF) orientation; exif.orientation keeps
//         what it was.
// Threads safe to call from several at once.
#pragma once

#include "base/error.h"
#include "image/bitmap.h"

namespace wheatpaste {

inline constexpr int64_t kMaxBitmapBytes = int64_t{1} << 30;
inline constexpr int64_t kMaxBitmapPx = 400'000'000;
inline constexpr int64_t kMaxBitmapSidePx = 60'000;

// errors  no such file, not a picture in one of the four formats (names what the first bytes are,
//         where known), truncated, damaged, too large; all at the place of the key that named the
//         file. A profile that is broken or fits another model is an error too, not silently
//         dropped.
Result<Bitmap> ReadBitmap(const Placed<std::string>& path);

// The same from memory; `path` serves for messages. max_px  a lower limit where less is wanted.
Result<Bitmap> DecodeBitmap(const Bytes& bytes, const Placed<std::string>& path,
                            int64_t max_px = kMaxBitmapPx);

}  // namespace wheatpaste
