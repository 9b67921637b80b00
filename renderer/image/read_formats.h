// read_formats.h - the four decoders behind read_bitmap.h and what they share; this folder only.
//
// Rules   a decoder checks size and plausibility before it asks for pixel memory, prints nothing,
//         and hands back every complaint of its library as an Error in our own form. Functions that
//         a library may leave by longjmp hold no object with a destructor.
// Upright decoders leave the picture as stored; DecodeBitmap turns it by exif.orientation.
#pragma once

#include <cstdint>
#include <string>

#include "base/error.h"
#include "image/bitmap.h"

namespace wheatpaste {

Result<Bitmap> DecodeJpeg(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px);
Result<Bitmap> DecodePng(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px);
Result<Bitmap> DecodeTiff(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px);
Result<Bitmap> DecodeWebp(const Bytes& bytes, const Placed<std::string>& path, int64_t max_px);

// `message` at the place of the key that named the file, or at the file itself where no key did.
Error BitmapError(const Placed<std::string>& path, const std::string& message);

// "cut short or damaged", with the words of the library, made printable.
Error DamagedError(const Placed<std::string>& path, const char* format, const std::string& words);

// errors  a side beyond kMaxBitmapSidePx, more than `max_px` pixels, or no pixels at all.
Status CheckBitmapSize(const Placed<std::string>& path, int64_t max_px, uint64_t width,
                       uint64_t height);

// errors  `packed_bytes` of coded picture cannot unfold to `picture_bytes`, as no stream of that
//         coding grows by more than `largest_ratio`: the header lies, and no memory should follow.
Status CheckBytesSuffice(const Placed<std::string>& path, uint64_t packed_bytes,
                         uint64_t picture_bytes, uint64_t largest_ratio);

// Parses `profile` into bitmap.profile; the picture's model must be known by then.
// errors  a broken profile, or one for another model than the picture's.
Status EmbedProfile(Bitmap& bitmap, Bytes profile, const Placed<std::string>& path);

// Asks for the memory of the pixels.
// errors  the machine has not enough.
Status AllocateCodes(Bitmap& bitmap, const Placed<std::string>& path);

}  // namespace wheatpaste
