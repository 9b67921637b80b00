#include "image/orient.h"

#include <algorithm>
#include <cstring>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

// Where upright (0, 0) comes from and how far the source moves per upright column and row, in
// pixels.
struct Walk {
  int64_t start = 0;
  int64_t per_x = 0;
  int64_t per_y = 0;
};

Walk WalkFor(int orientation, int64_t w, int64_t h) {
  switch (orientation) {
    case 2:
      return {w - 1, -1, w};
    case 3:
      return {w * h - 1, -1, -w};
    case 4:
      return {(h - 1) * w, 1, -w};
    case 5:
      return {0, w, 1};
    case 6:
      return {(h - 1) * w, -w, 1};
    case 7:
      return {w * h - 1, -w, -1};
    case 8:
      return {w - 1, w, -1};
    default:
      return {0, 1, w};
  }
}

// Goes through blocks, so that columns of the source stay in the cache while they are read.
template <int kPixelBytes>
void TurnPixels(const uint8_t* stored, uint8_t* upright, SizePx size, const Walk& walk) {
  constexpr int64_t kBlock = 64;
  ParallelRows(size.height, kBlock, [&](int64_t y0, int64_t y1) {
    for (int64_t x0 = 0; x0 < size.width; x0 += kBlock) {
      const int64_t x1 = std::min(x0 + kBlock, size.width);
      for (int64_t y = y0; y < y1; ++y) {
        int64_t from = walk.start + y * walk.per_y + x0 * walk.per_x;
        uint8_t* to = upright + (y * size.width + x0) * kPixelBytes;
        for (int64_t x = x0; x < x1; ++x, from += walk.per_x, to += kPixelBytes) {
          std::memcpy(to, stored + from * kPixelBytes, kPixelBytes);
        }
      }
    }
  });
}

}  // namespace

void TurnUpright(Bitmap& bitmap) {
  const int orientation = bitmap.exif.orientation;
  if (orientation <= 1 || orientation > 8) return;
  const Walk walk = WalkFor(orientation, bitmap.size.width, bitmap.size.height);
  if (orientation >= 5) std::swap(bitmap.size.width, bitmap.size.height);
  Bytes upright(bitmap.codes.size());
  const uint8_t* from = bitmap.codes.data();
  switch (bitmap.channels() * bitmap.depth / 8) {
    case 1:
      TurnPixels<1>(from, upright.data(), bitmap.size, walk);
      break;
    case 2:
      TurnPixels<2>(from, upright.data(), bitmap.size, walk);
      break;
    case 3:
      TurnPixels<3>(from, upright.data(), bitmap.size, walk);
      break;
    case 4:
      TurnPixels<4>(from, upright.data(), bitmap.size, walk);
      break;
    case 5:
      TurnPixels<5>(from, upright.data(), bitmap.size, walk);
      break;
    case 6:
      TurnPixels<6>(from, upright.data(), bitmap.size, walk);
      break;
    case 8:
      TurnPixels<8>(from, upright.data(), bitmap.size, walk);
      break;
    case 10:
      TurnPixels<10>(from, upright.data(), bitmap.size, walk);
      break;
    default:
      WHEATPASTE_CHECK_OP(bitmap.channels() * bitmap.depth / 8, ==, 1);
  }
  bitmap.codes = std::move(upright);
}

}  // namespace wheatpaste
