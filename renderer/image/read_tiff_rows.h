// read_tiff_rows.h - TIFF samples as stored to the codes that a Bitmap holds; for this folder only.
//
// Source  TIFF 6.0 (1992): sections 3 to 5 (gray, palette), 16 (CMYK), 18 (associated alpha),
//         23 (CIE L*a*b*: a and b signed). 16-bit CIELab as a and b times 256, and the ICC form of
//         it: from memory of the specification's later notes.
#pragma once

#include <cstdint>
#include <vector>

#include "image/bitmap.h"

namespace wheatpaste {

enum class TiffKind { kGray, kGrayFromWhite, kPalette, kRgb, kCmyk, kCieLab, kIccLab };

// How one pixel lies in the file.
struct TiffLayout {
  TiffKind kind = TiffKind::kGray;
  int bits = 8;                  // per sample as stored: 1, 2, 4, 8, 16
  int samples = 1;               // per pixel as stored, over all planes
  int alpha_at = -1;             // which sample is the alpha, -1: none
  bool separate = false;         // one plane a sample
  std::vector<uint8_t> palette;  // r, g, b for each index

  // Colour samples as stored: 1 for a palette.
  int colour_samples() const;
  // True where a stored row is as long as a row of the Bitmap, in the same order.
  bool direct() const;
};

// Puts `count` pixels of a stored row into codes of `bitmap`, from `codes` on. `plane` names the
// sample that the row holds where the layout is separate. Fewer than 8 bits are widened to 0
// to 255.
void PlaceSamples(const TiffLayout& layout, const Bitmap& bitmap, const uint8_t* stored, int plane,
                  int64_t count, uint8_t* codes);

// Turns placed codes of `count` pixels into those that read_bitmap.h promises, in place: gray with
// 0 = black, palettes to RGB, Lab in its one encoding.
void SettleCodes(const TiffLayout& layout, const Bitmap& bitmap, int64_t count, uint8_t* codes);

}  // namespace wheatpaste
