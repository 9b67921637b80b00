#include "image/read_tiff_rows.h"

#include <algorithm>
#include <cstring>

namespace wheatpaste {
namespace {

template <typename Code>
void CopySamples(const uint8_t* stored, int from_step, int from, int64_t count, uint8_t* codes,
                 int to_step, int to) {
  stored += from * sizeof(Code);
  codes += to * sizeof(Code);
  for (int64_t i = 0; i < count; ++i) {
    std::memcpy(codes + i * to_step * sizeof(Code), stored + i * from_step * sizeof(Code),
                sizeof(Code));
  }
}

void UnpackBits(const uint8_t* stored, int bits, int from_step, int from, int64_t count, int scale,
                uint8_t* codes, int to_step) {
  const int mask = (1 << bits) - 1;
  if (from_step == 1 && to_step == 1 && bits == 1) {
    // Bilevel pages are the largest pictures there are: a byte at a time.
    for (; count >= 8; count -= 8, codes += 8, ++stored) {
      for (int i = 0; i < 8; ++i) {
        codes[i] = static_cast<uint8_t>((stored[0] >> (7 - i) & 1) * scale);
      }
    }
  }
  for (int64_t i = 0; i < count; ++i) {
    const int64_t bit = (i * from_step + from) * bits;
    const int sample = (stored[bit / 8] >> (8 - bits - bit % 8)) & mask;
    codes[i * to_step] = static_cast<uint8_t>(sample * scale);
  }
}

// 16-bit Lab where 1 is 1/256 of a unit of a and b, and 0xFF00 is L = 100, to where the range is
// full.
uint16_t FullRange(uint32_t code) {
  return static_cast<uint16_t>(std::min<uint32_t>(65535, (code * 257 + 128) / 256));
}

template <typename Change>
void ChangePixels16(uint8_t* codes, int channels, int64_t count, const Change& change) {
  uint16_t lab[3];
  for (int64_t i = 0; i < count; ++i, codes += channels * 2) {
    std::memcpy(lab, codes, sizeof lab);
    change(lab);
    std::memcpy(codes, lab, sizeof lab);
  }
}

}  // namespace

int TiffLayout::colour_samples() const {
  switch (kind) {
    case TiffKind::kGray:
    case TiffKind::kGrayFromWhite:
    case TiffKind::kPalette:
      return 1;
    case TiffKind::kCmyk:
      return 4;
    case TiffKind::kRgb:
    case TiffKind::kCieLab:
    case TiffKind::kIccLab:
      return 3;
  }
  return 1;
}

bool TiffLayout::direct() const {
  const int wanted = colour_samples() + (alpha_at >= 0 ? 1 : 0);
  return bits >= 8 && kind != TiffKind::kPalette && (!separate || samples == 1) &&
         samples == wanted && (alpha_at < 0 || alpha_at == samples - 1);
}

void PlaceSamples(const TiffLayout& layout, const Bitmap& bitmap, const uint8_t* stored, int plane,
                  int64_t count, uint8_t* codes) {
  const int step = layout.separate ? 1 : layout.samples;
  const auto place = [&](int sample, int to, bool widen) {
    if (layout.separate && sample != plane) return;
    const int from = layout.separate ? 0 : sample;
    if (layout.bits == 16) {
      CopySamples<uint16_t>(stored, step, from, count, codes, bitmap.channels(), to);
    } else if (layout.bits == 8) {
      CopySamples<uint8_t>(stored, step, from, count, codes, bitmap.channels(), to);
    } else {
      const int scale = widen ? 255 / ((1 << layout.bits) - 1) : 1;
      UnpackBits(stored, layout.bits, step, from, count, scale, codes + to, bitmap.channels());
    }
  };
  for (int i = 0; i < layout.colour_samples(); ++i) {
    place(i, i, layout.kind != TiffKind::kPalette);
  }
  if (layout.alpha_at >= 0) place(layout.alpha_at, bitmap.channels() - 1, true);
}

void SettleCodes(const TiffLayout& layout, const Bitmap& bitmap, int64_t count, uint8_t* codes) {
  const int channels = bitmap.channels();
  switch (layout.kind) {
    case TiffKind::kGray:
    case TiffKind::kRgb:
    case TiffKind::kCmyk:
      return;
    case TiffKind::kGrayFromWhite: {
      const int bytes = bitmap.depth / 8;
      for (int64_t i = 0; i < count; ++i, codes += channels * bytes) {
        for (int k = 0; k < bytes; ++k) codes[k] = static_cast<uint8_t>(~codes[k]);
      }
      return;
    }
    case TiffKind::kPalette:
      for (int64_t i = 0; i < count; ++i, codes += channels) {
        std::memcpy(codes, &layout.palette[size_t{codes[0]} * 3], 3);
      }
      return;
    case TiffKind::kCieLab:
      if (bitmap.depth == 16) {
        ChangePixels16(codes, channels, count, [](uint16_t* lab) {
          for (int k = 1; k < 3; ++k) lab[k] = FullRange(lab[k] ^ 0x8000u);
        });
        return;
      }
      for (int64_t i = 0; i < count; ++i, codes += channels) {
        codes[1] ^= 0x80;
        codes[2] ^= 0x80;
      }
      return;
    case TiffKind::kIccLab:
      if (bitmap.depth == 16) {
        ChangePixels16(codes, channels, count, [](uint16_t* lab) {
          for (int k = 0; k < 3; ++k) lab[k] = FullRange(lab[k]);
        });
      }
      return;
  }
}

}  // namespace wheatpaste
