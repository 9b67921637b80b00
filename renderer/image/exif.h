// exif.h - the few facts of an EXIF block that matter here, read by libexif.
//
// Source  CIPA DC-008 (Exif 2.32): tags 0x0112 orientation, 0x011A and 0x0128 resolution, 0xA405
//         focal length in 35 mm film.
// Lenient an EXIF block that cannot be read counts as one that says nothing: cameras write many odd
//         ones, and the pixels are whole without it.
#pragma once

#include <cstddef>
#include <cstdint>

#include "image/bitmap.h"

namespace wheatpaste {

struct ExifContent {
  ExifFacts facts;
  double ppi = 0;  // 0: not stated
};

// data  the block, with or without the leading "Exif\0\0".
ExifContent ReadExif(const uint8_t* data, size_t size);

// An orientation as stored; values outside 1 to 8 are not in the standard and count as 1.
int OrientationFromTag(int64_t value);

}  // namespace wheatpaste
