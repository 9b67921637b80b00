// frame.h - which part of the photo the picture shows, and how large.
//
// Model   the window keeps the picture's aspect ratio, so the photo is never stretched, and never leaves the photo.
//         Without more, of a photo of another aspect ratio the largest centred part is shown. On a sheet, where the
//         scene says what must be seen:
//           cover    the smallest window of the sheet's shape that holds it, centred on it, moved where the photo ends;
//                    where the photo is too small for that, the largest, and what must be seen is cut.
//                    The window goes on into the photo by the bleed.
//           contain  that part alone (or the whole photo), as large as the sheet takes it, centred. On a side where it
//                    touches the sheet's edge it goes on into the photo by the bleed, as far as the photo goes.
#pragma once

#include <optional>

#include "base/rect.h"
#include "geometry/coords.h"
#include "image/resample.h"
#include "scene/output_spec.h"

namespace wheatpaste {

struct Frame {
  SizePx photo;
  SizePx size;          // of the picture, output px
  SourceWindow window;  // part of the photo that fills it, photo px

  // True where output pixels are photo pixels, one to one.
  bool is_photo() const { return size == photo && window == WholeWindow(photo); }
  // Output px per photo px.
  double scale() const { return static_cast<double>(size.width) / window.width; }
  Map<OutputPx, PhotoPx> output_from_photo() const;
  PhotoPx PhotoAt(const OutputPx& output) const {
    return {window.x0 + output.x / scale(), window.y0 + output.y / scale()};
  }
};

// Which picture of a scene is wanted.
struct PictureWish {
  std::optional<SizePx> size = std::nullopt;  // none: the photo's own
  // What fills it, of its shape; none: the largest centred part.
  std::optional<SourceWindow> window = std::nullopt;
  bool sharp_artwork = false;  // whatever the photo's focus
  bool operator==(const PictureWish&) const = default;
};

// photo and size at least 1 x 1.
Frame FramePhoto(SizePx photo, SizePx size);
Frame FramePhoto(SizePx photo, const PictureWish& wish);

// All of the photo in a picture whose larger side is at most kProbeSidePx: enough to see where surfaces lie.
inline constexpr int64_t kProbeSidePx = 800;
Frame FrameSmall(SizePx photo);

// A picture on a sheet with its bleed.
struct FrameOnSheet {
  SizePx size;          // of the picture
  SourceWindow window;  // that fills it
  RectPx picture;       // where it lies, px from the outer corner of the bleed
  double seen = 1;      // share of what must be seen that lies within the trimmed sheet
  bool bleed_ends =
      false;  // contain: the picture touches an edge and the photo has less than the bleed beyond
};

// must_see  within the photo; none: nothing in particular.
FrameOnSheet FrameOnto(const SheetSize& sheet, PictureFit fit, SizePx photo,
                       const std::optional<SourceWindow>& must_see);

// Where the trimmed sheet lies within its bleed.
RectPx TrimWithin(const SheetSize& sheet);

}  // namespace wheatpaste
