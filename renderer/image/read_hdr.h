// read_hdr.h - Radiance pictures (.hdr): light maps.
//
// Model   each pixel three mantissas m and an exponent e: m 2^(e - 136), 0 where e = 0; rows packed by runs or flat.
// Light   the numbers as they stand, in the working primaries; what the header says of exposure and primaries is not read.
// Limits  a file of at most kMaxHdrBytes, a picture of at most kMaxHdrPx pixels and kMaxBitmapSidePx (read_bitmap.h) a side,
//         rows from the top and from the left: all checked before any pixel memory is asked for.
// Damage  a file that ends early, or whose rows do not unpack, is an error; so is light above kMaxHdrLight.
// Source  G. Ward 1991, "Real pixels", Graphics Gems II, 80-83.
// Threads safe to call from several at once.
#pragma once

#include "base/error.h"
#include "base/files.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int64_t kMaxHdrBytes = int64_t{1} << 28;
inline constexpr int64_t kMaxHdrPx = 40'000'000;
inline constexpr float kMaxHdrLight = 1e9f;

// errors  no such file, not such a picture, truncated, damaged, too large; at the place of the key that named it.
Result<Image<SceneLinear>> ReadHdr(const Placed<std::string>& path);

// The same from memory; `path` serves for messages.
Result<Image<SceneLinear>> DecodeHdr(const Bytes& bytes, const Placed<std::string>& path);

}  // namespace wheatpaste
