// frame.h - which part of the photo the picture shows, and how large.
//
// Model   the window keeps the picture's aspect ratio, so the photo is never stretched: of a photo of
//         another aspect ratio the largest centred part is shown.
#pragma once

#include <optional>

#include "base/rect.h"
#include "geometry/coords.h"
#include "image/resample.h"

namespace wheatpaste {

struct Frame {
  SizePx photo;
  SizePx size;          // of the picture, output px
  SourceWindow window;  // part of the photo that fills it, photo px

  // True where output pixels are photo pixels, one to one.
  bool is_photo() const { return size == photo; }
  // Output px per photo px.
  double scale() const { return static_cast<double>(size.width) / window.width; }
  Map<OutputPx, PhotoPx> output_from_photo() const;
  PhotoPx PhotoAt(const OutputPx& output) const {
    return {window.x0 + output.x / scale(), window.y0 + output.y / scale()};
  }
};

// Which picture of a scene is wanted.
struct PictureWish {
  std::optional<SizePx> size;  // none: the photo's own
};

// photo and size at least 1 x 1.
Frame FramePhoto(SizePx photo, SizePx size);

}  // namespace wheatpaste
