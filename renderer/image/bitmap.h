// bitmap.h - the pixels of a file as the file holds them: codes, channels, profile, density.
#pragma once

#include <optional>
#include <string>

#include "base/error.h"
#include "base/files.h"
#include "base/rect.h"
#include "colour/profile.h"

namespace wheatpaste {

// What EXIF says that matters here. Focal length 0: not stated.
struct ExifFacts {
  int orientation = 1;    // EXIF tag 0x0112, 1 to 8; 1 is upright
  double focal_35mm = 0;  // EXIF tag 0xA405, mm
};

inline constexpr size_t kMaxDescriptionBytes = 1000;

// Interleaved code values, colour channels first, then alpha where has_alpha.
struct Bitmap {
  SizePx size;
  ColourModel model = ColourModel::kRgb;
  bool has_alpha = false;
  bool alpha_premultiplied = false;  // in codes, as the file stores them (TIFF associated alpha)
  int depth = 8;                     // 8 or 16 bits a channel; 16-bit codes in native byte order
  Bytes codes;                       // height x width x channels() codes
  std::optional<Profile> profile;    // as embedded; its model equals `model`
  double ppi = 0;                    // 0: not stated
  ExifFacts exif;
  std::string description;  // TIFF's tag 270, at most kMaxDescriptionBytes of it; else empty

  int channels() const { return ChannelCount(model) + (has_alpha ? 1 : 0); }
  int64_t row_bytes() const { return size.width * channels() * (depth / 8); }
  const uint8_t* row(int64_t y) const { return codes.data() + y * row_bytes(); }
  uint8_t* row(int64_t y) { return codes.data() + y * row_bytes(); }
};

}  // namespace wheatpaste
