// base_picture.h - the base photo at the picture's size: codes to be copied, light to be worked on.
//
// Model   at the photo's own size the codes are the file's own, untouched. At any other size the photo is
//         resampled in linear light (Catmull-Rom) and encoded again. Codes are in the photo's own
//         profile where that is an RGB profile that can encode, else in sRGB.
#pragma once

#include <string>
#include <vector>

#include "colour/profile.h"
#include "image/bitmap.h"
#include "image/image.h"
#include "surface/frame.h"

namespace wheatpaste {

struct BasePicture {
  SizePx size;
  int depth = 8;                      // bits a code
  Bytes codes;                        // height x width x 3, RGB, native order
  Profile profile = Profile::Srgb();  // of the codes
  bool profile_assumed = false;       // the photo carried none
  Image<SceneLinear> light;           // the same pixels, linear

  int64_t row_bytes() const { return size.width * 3 * (depth / 8); }
  const uint8_t* row(int64_t y) const { return codes.data() + y * row_bytes(); }
};

// photo  upright; gray and CMYK photos are taken to RGB, alpha is dropped.
BasePicture MakeBasePicture(const Bitmap& photo, const Frame& frame);

}  // namespace wheatpaste
