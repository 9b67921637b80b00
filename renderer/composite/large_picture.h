// large_picture.h - pictures too large to be held whole: what of them is kept, from which any part can be made.
//
// Model   a photo holds no more than its own pixels. Where the picture has many more, or is larger than memory should
//         hold, the light is analysed on a picture of its own: the photo's pixels that the window needs, one to one, or as
//         many as SizeLimits lets. What was found there (irradiance, fine texture, gloss, light given back to highlights,
//         relief, normals, blur, grain) is looked up under the large picture's pixels by the kernel that enlarges the photo, so that L - S
//         is the enlarged D. The photo itself stays in codes, 3 bytes a pixel, and is made light where it is needed.
// Blur    sigma holds the extent of the pixel it was measured in, 1/12 px^2. From the analysed scale a to
//         g = min(1, the picture's s), where pixels are the picture's or the photo's own, variances without it scale:
//             sigma_g^2 = (g / a)^2 (sigma_a^2 - 1/12) + 1/12;   the photo's pixels are then enlarged: sigma = sigma_g max(1, s)
// Grain   measured at scale g, on bands of the photo spread over the window. Where the picture is larger than the photo
//         the noise added has the photo's pixels, enlarged as they are.
// Source  derived here; tests/composite/strips_test.cc holds large pictures against whole ones.
#pragma once

#include <cstdint>

#include "base/rect.h"
#include "composite/scene_occluders.h"
#include "image/image.h"
#include "light/base_picture.h"
#include "light/focus.h"
#include "light/grain_field.h"
#include "surface/frame.h"

namespace wheatpaste {

// Where pictures are made whole, and how much of larger ones is held at once. Tests lower them.
struct SizeLimits {
  int64_t most_whole_px = int64_t{16} << 20;    // of a picture no larger than its photo
  int64_t most_enlarged_px = int64_t{4} << 20;  // of an enlarged one
  int64_t most_analysed_px = int64_t{6}
                             << 20;  // of the picture on which a large one's light is analysed
  int64_t tile_px = 768;             // side of the parts that are made at once
};

bool IsLarge(const Frame& frame, const SizeLimits& limits);

// The picture on which a large one's light is analysed.
Frame AnalysedFrame(const Frame& frame, const SizeLimits& limits);

// The picture of some of a picture's pixels.
Frame PartOf(const Frame& frame, const RectPx& part);

struct LargePicture {
  BasePicture photo;  // codes alone, its old print removed
  SceneOccluders occluders;
  int64_t tile_px = 0;
};

// What lies in a region of px of `from` under the pixels of a region of `to`.
template <typename Colour>
Image<Colour> LookUp(const Image<Colour>& field, const RectPx& region, const Frame& from,
                     const Frame& to, const RectPx& wanted);

// Of the picture's pixels.
Focus FocusIn(const Focus& analysed, const Frame& from, const Frame& to);

// Bands of the picture at scale min(1, its own), one below the other, whose noise tells the whole picture's.
Image<SceneLinear> SampleForGrain(const BasePicture& photo, const Frame& frame);

// Pixels of the photo under `region` of the analysed picture, which `base` is: what it changed there, put into the photo.
void TakeOver(const BasePicture& base, const Frame& analysed, const RectPx& region,
              const Image<Coverage>& changed, BasePicture& photo);

// Noise of variance 1 for a part of the picture's pixels: the tile's, laid out on them, or on the photo's and enlarged.
Image<SceneLinear> NoiseOf(const GrainTile& tile, const Frame& frame, const RectPx& part);

extern template Image<SceneLinear> LookUp(const Image<SceneLinear>&, const RectPx&, const Frame&,
                                          const Frame&, const RectPx&);
extern template Image<Coverage> LookUp(const Image<Coverage>&, const RectPx&, const Frame&,
                                       const Frame&, const RectPx&);

}  // namespace wheatpaste
