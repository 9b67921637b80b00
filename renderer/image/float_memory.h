// float_memory.h - where the floats of pictures come from: the heap, on a 64-byte boundary, or pages of the system; for this
//         folder only.
//
// Heap    the C library's own aligned_alloc (glibc before 2.38, its bug 14581) hardly ever reuses what was given back: a batch
//         of a thousand small pictures grew by half a gigabyte. Here an ordinary block is taken, and the boundary found in it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <new>

#include <sys/mman.h>

#include "base/large_pages.h"

namespace wheatpaste {

inline constexpr size_t kAlignBytes = 64;

inline size_t RoundUp(size_t bytes, size_t step) { return (bytes + step - 1) / step * step; }

// The block's own address stands before the boundary.
inline float* TakeAligned(size_t bytes) {
  void* const block = std::malloc(bytes + kAlignBytes);
  if (block == nullptr) throw std::bad_alloc();
  static_assert(alignof(std::max_align_t) >= sizeof(void*));
  const auto address = reinterpret_cast<uintptr_t>(block);
  auto* const aligned = reinterpret_cast<void**>((address / kAlignBytes + 1) * kAlignBytes);
  aligned[-1] = block;
  return reinterpret_cast<float*>(aligned);
}

inline void GiveBackAligned(float* data) {
  if (data != nullptr) std::free(reinterpret_cast<void**>(data)[-1]);
}

// Fresh memory of the system, all zero, in large pages: met by few page faults, and not shared with child processes (which
// would make the system copy what is written while they live). Given back by munmap.
// bytes  a multiple of kLargePageBytes.
inline float* MapPages(size_t bytes) {
  void* const data =
      mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (data == MAP_FAILED) throw std::bad_alloc();
  // Wishes: nothing depends on them.
  madvise(data, bytes, MADV_HUGEPAGE);
  madvise(data, bytes, MADV_DONTFORK);
  return static_cast<float*>(data);
}

}  // namespace wheatpaste
