// base_picture.h - the base photo at the picture's size: codes to be copied, light to be worked on.
//
// Model   at the photo's own size the codes are the file's own, untouched. At any other size the photo is
//         resampled in linear light (kPhotoKernel) and encoded again. Codes are in the photo's own
//         profile where that is an RGB profile that can encode, else in sRGB.
#pragma once

#include <string>
#include <vector>

#include "colour/profile.h"
#include "image/bitmap.h"
#include "image/image.h"
#include "surface/frame.h"

namespace wheatpaste {

// How a photo is resampled. Looked at on the example photos enlarged six times: Mitchell's kernel (1/3, 1/3) is smoother along slanted
// edges and loses the wood's grain; Lanczos' shows no more of it and rings twice.
inline constexpr Kernel kPhotoKernel = Kernel::kCatmullRom;

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

// The photo's own pixels without their light: 3 or 6 bytes each, from which any part of a picture can be made.
BasePicture CodesOfPhoto(Bitmap photo);

// The light of a rectangle of a picture's codes.
Image<SceneLinear> LightOf(const BasePicture& base, const RectPx& rect);
// Codes of `light` over the rectangle's pixels where `chosen` is above 0; same size.
void WriteLight(const Image<SceneLinear>& light, const Image<Coverage>& chosen, const RectPx& rect,
                BasePicture& base);

// The light of a frame, from CodesOfPhoto. Only the photo's pixels that it needs are made light, a band at a time.
Image<SceneLinear> LightIn(const BasePicture& photo, const Frame& frame);
// The base picture of a frame in the same way.
// encode  to the photo's codes.
BasePicture MakeBasePicture(const BasePicture& photo, const Frame& frame,
                            const CodesFromWorking& encode);

}  // namespace wheatpaste
