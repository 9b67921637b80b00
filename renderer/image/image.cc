#include "image/image.h"

#include <new>

#include <sys/mman.h>

#include "image/aligned_heap.h"

namespace wheatpaste {
namespace {

constexpr size_t kLargePageBytes = size_t{2} << 20;

}  // namespace

void FreeFloats::operator()(float* data) const {
  if (mapped_bytes > 0) {
    munmap(data, mapped_bytes);
  } else {
    GiveBackAligned(data);
  }
}

FloatBlock ZeroedFloats(size_t count) {
  size_t bytes = (count * sizeof(float) + kAlignBytes - 1) / kAlignBytes * kAlignBytes;
  if (bytes >= 2 * kLargePageBytes) {
    bytes = (bytes + kLargePageBytes - 1) / kLargePageBytes * kLargePageBytes;
    void* data = mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (data == MAP_FAILED) throw std::bad_alloc();
    // Wishes: nothing depends on them.
    madvise(data, bytes, MADV_HUGEPAGE);
    madvise(data, bytes, MADV_DONTFORK);
    return FloatBlock(static_cast<float*>(data), FreeFloats{bytes});
  }
  float* const data = TakeAligned(bytes);
  std::memset(data, 0, bytes);
  return FloatBlock(data, FreeFloats{0});
}

}  // namespace wheatpaste
