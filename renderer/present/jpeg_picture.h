// jpeg_picture.h - a picture of a batch as JPEG bytes, for pages that hold pictures.
//
// Model   a JPEG file that is small enough goes as it is, byte for byte. Anything else (another format, larger, CMYK) is
//         reduced in linear light where it is too large, and encoded anew as sRGB. Nothing is enlarged.
// Reads   the whole picture once, also one that goes as it is, so that a damaged one is not passed on.
// Threads safe to call from several at once.
#pragma once

#include <cstdint>
#include <string>

#include "base/error.h"
#include "base/files.h"
#include "base/rect.h"
#include "batch/manifest.h"
#include "image/bitmap.h"

namespace wheatpaste {

inline constexpr char kPictureChanged[] =
    "has changed since the batch was made; run the batch again";

struct JpegPicture {
  Bytes bytes;
  SizePx size;
  bool as_it_is = false;  // the file's own bytes
};

struct JpegLimits {
  int64_t max_side_px = 0;
  int64_t max_bytes = INT64_MAX;  // of a file that goes as it is
  int quality = 88;               // of one encoded anew
  bool always_anew = false;       // for thumbnails: no metadata, no profile
  bool only_srgb =
      false;  // for readers that pass over profiles: a file in other colours is encoded anew
};

// A picture file, read.
class PictureFile {
 public:
  // errors  cannot be read, is no picture, or is of other colours than a batch writes.
  static Result<PictureFile> Read(const std::string& path);
  // The picture that a batch made.
  // folder  of the batch.
  // errors  as above; or it is not the picture that the record speaks of: kPictureChanged.
  static Result<PictureFile> Read(const std::string& folder, const JobRecord& record);

  SizePx size() const { return bitmap_.size; }
  const std::string& sha256() const { return sha256_; }
  JpegPicture Jpeg(const JpegLimits& limits) const;

 private:
  Bytes bytes_;
  std::string sha256_;
  Bitmap bitmap_;
};

// The same in one step.
Result<JpegPicture> ReadJpegPicture(const std::string& path, const JpegLimits& limits);

// What is left of `size` when its longer side may have `max_side_px`; never larger, each side at least 1.
SizePx Within(SizePx size, int64_t max_side_px);

}  // namespace wheatpaste
