#include "image/image.h"

#include <cstdlib>
#include <new>

#include <sys/mman.h>

namespace wheatpaste {
namespace {

constexpr size_t kAlignBytes = 64;
constexpr size_t kLargePageBytes = size_t{2} << 20;

}  // namespace

void FreeFloats::operator()(float* data) const {
  if (mapped_bytes > 0) {
    munmap(data, mapped_bytes);
  } else {
    std::free(data);
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
  auto* data = static_cast<float*>(std::aligned_alloc(kAlignBytes, bytes));
  if (data == nullptr) throw std::bad_alloc();
  std::memset(data, 0, bytes);
  return FloatBlock(data, FreeFloats{0});
}

}  // namespace wheatpaste
