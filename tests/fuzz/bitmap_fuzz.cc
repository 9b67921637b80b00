// Any bytes at all through DecodeBitmap: it must answer with a picture that keeps its promises, or
// with an error, and print nothing.
#include <cstdint>
#include <cstdlib>

#include "image/read_bitmap.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  using namespace wheatpaste;
  // A small file may rightly hold a huge picture of one colour: no finding, only slow.
  constexpr int64_t kMaxPx = 4'000'000;
  const Bytes bytes(data, data + size);
  const auto bitmap = DecodeBitmap(bytes, {"fuzz", {"scene.toml", 1, 1}, "photo.file"}, kMaxPx);
  if (!bitmap) return 0;
  if (bitmap->size.area() < 1 || bitmap->size.area() > kMaxPx) std::abort();
  if (bitmap->codes.size() != static_cast<size_t>(bitmap->row_bytes() * bitmap->size.height)) {
    std::abort();
  }
  if (bitmap->profile && bitmap->profile->model() != bitmap->model) std::abort();
  return 0;
}
