#include "image/image.h"

#include "image/float_memory.h"

namespace wheatpaste {
void FreeFloats::operator()(float* data) const {
  if (mapped_bytes > 0) {
    munmap(data, mapped_bytes);
  } else {
    GiveBackAligned(data);
  }
}

FloatBlock ZeroedFloats(size_t count) {
  const size_t bytes = RoundUp(count * sizeof(float), kAlignBytes);
  if (bytes >= 2 * kLargePageBytes) {
    const size_t pages = RoundUp(bytes, kLargePageBytes);
    return FloatBlock(MapPages(pages), FreeFloats{pages});
  }
  float* const data = TakeAligned(bytes);
  std::memset(data, 0, bytes);
  return FloatBlock(data, FreeFloats{0});
}

}  // namespace wheatpaste
