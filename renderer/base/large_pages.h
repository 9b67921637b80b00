// large_pages.h - memory for tables of some megabytes that are asked all over: in large pages of the system where it grants them, so that
//         finding an address does not wait for memory too.
//
// Use     std::vector<T, LargePages<T>>. Below kLargePageBytes bytes the ordinary heap. Wishes alone: nothing depends on them.
#pragma once

#include <cstddef>
#include <cstdlib>
#include <new>

#include <sys/mman.h>

namespace wheatpaste {

inline constexpr size_t kLargePageBytes = size_t{2} << 20;

// Asks the processor to bring the line of `address` nearer, and waits for nothing. Functions that do nothing else must be inlined too:
// GCC drops calls of them as having no effect.
[[gnu::always_inline]] inline void AskFor(const void* address) { __builtin_prefetch(address); }

template <typename T>
struct LargePages {
  using value_type = T;
  LargePages() = default;
  template <typename Other>
  LargePages(const LargePages<Other>&) {}

  T* allocate(size_t count) {
    const size_t bytes = count * sizeof(T);
    if (bytes < kLargePageBytes) return static_cast<T*>(::operator new(bytes, kAlign));
    const size_t pages = (bytes + kLargePageBytes - 1) / kLargePageBytes * kLargePageBytes;
    void* const data = std::aligned_alloc(kLargePageBytes, pages);
    if (data == nullptr) throw std::bad_alloc();
    madvise(data, pages, MADV_HUGEPAGE);
    return static_cast<T*>(data);
  }
  void deallocate(T* data, size_t count) {
    if (count * sizeof(T) < kLargePageBytes) {
      ::operator delete(data, kAlign);
    } else {
      std::free(data);
    }
  }
  friend bool operator==(const LargePages&, const LargePages&) { return true; }

 private:
  static constexpr std::align_val_t kAlign{64};  // lines of the processor's cache
};

}  // namespace wheatpaste
