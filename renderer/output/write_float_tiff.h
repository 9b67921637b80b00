// write_float_tiff.h - measured planes (light, lengths, cosines, shares) to a TIFF, for inspection by other programs.
//
// Samples  32-bit IEEE floats as they are, negative ones and those above 1 too; or 16-bit whole numbers, 65535 v
//          rounded, v kept within 0 to 1.
// File     strips, DEFLATE with the predictor for floats (3) or none (1); no resolution, no profile. Three bands are
//          red, green and blue; one is gray; two are gray and an extra sample of no stated meaning.
// Source   Adobe Photoshop TIFF Technical Note 3, 2005, for predictor 3; TIFF 6.0 for the rest.
// Rows     are asked for in order, a strip at a time.
#pragma once

#include <functional>
#include <string>

#include "base/error.h"
#include "base/files.h"
#include "base/rect.h"

namespace wheatpaste {

enum class TiffSamples { kFloat32, kWhole16 };

struct FloatFacts {
  SizePx size;
  int bands = 1;  // 1 to 3
  TiffSamples samples = TiffSamples::kFloat32;
  std::string description;  // plain words, with units; ASCII
};

// Fills rows [y0, y1): bands side by side in each pixel, tightly packed.
using FloatRows = std::function<void(int64_t y0, int64_t y1, float* pixels)>;

// The caller commits `file`.
// errors  cannot write: the system's own words.
Status WriteFloatTiff(PendingFile& file, const FloatFacts& facts, const FloatRows& rows);

}  // namespace wheatpaste
