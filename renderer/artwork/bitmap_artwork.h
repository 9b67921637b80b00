// bitmap_artwork.h - a PNG, JPEG, TIFF or WebP as artwork, decoded once to linear light.
//
// Model   codes to the working space through the embedded profile (none, each with a note: sRGB; CIE
//         Lab D50 for Lab; the scene's print condition for CMYK), then times alpha. Alpha that the file has multiplied in already is
//         divided out in codes, at 16 bits, first. A fully clear pixel is zero, whatever its hidden
//         colour.
#pragma once

#include <memory>

#include "artwork/artwork.h"
#include "image/bitmap.h"

namespace wheatpaste {

// errors  those of DecodeBitmap; a CMYK picture without a profile where none stands in; at `path`.
Result<std::shared_ptr<const Artwork>> MakeBitmapArtwork(const Bytes& bytes,
                                                         const Placed<std::string>& path,
                                                         const AssumedInks* press = nullptr);

// The linear picture of `bitmap`; `path` serves for messages.
Result<Image<LinearPremul>> LinearFromBitmap(const Bitmap& bitmap, const Placed<std::string>& path);

}  // namespace wheatpaste
