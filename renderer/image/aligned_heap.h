// aligned_heap.h - heap memory on a 64-byte boundary; for this folder only.
//
// Why     the C library's own aligned_alloc (glibc before 2.38, its bug 14581) hardly ever reuses what was given back: a batch
//         of a thousand small pictures grew by half a gigabyte. Here an ordinary block is taken, and the boundary found in it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <new>

namespace wheatpaste {

inline constexpr size_t kAlignBytes = 64;

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

}  // namespace wheatpaste
