// read_texture.h - pictures of a material to the planes that the tracer reads, and a light map to the sky.
//
// Colour    through the file's profile (sRGB where it carries none) to linear light; gray widened, alpha left out.
// Normals   code / maximum * 2 - 1 in each band, unit: x right, y up, z out ("OpenGL" sense; common practice, no source).
// Plain     roughness and heights: the mean of the bands, code / maximum, no curve.
// Limits    those of image/read_bitmap.h; a picture of more than kMostTextureSidePx a side is refused.
#pragma once

#include <memory>

#include "base/error.h"
#include "image/image.h"

namespace wheatpaste {

inline constexpr int64_t kMostTextureSidePx = 8192;

using SharedColour = std::shared_ptr<const Image<SceneLinear>>;
using SharedPlane = std::shared_ptr<const Image<Coverage>>;

Result<SharedColour> ReadColourTexture(const Placed<std::string>& file);
Result<SharedColour> ReadNormalTexture(const Placed<std::string>& file);
Result<SharedPlane> ReadPlainTexture(const Placed<std::string>& file);

// Mean of each band.
SceneLinear MeanOf(const Image<SceneLinear>& picture);

// What of an equirectangular sky is seen when each direction shows the mean over a disc of that radius about it, by solid angle; no
// larger than needed for that blur. Threads: runs in parallel; the same bits for any number.
Image<SceneLinear> BlurSky(const Image<SceneLinear>& sky, double radius_degrees);

}  // namespace wheatpaste
