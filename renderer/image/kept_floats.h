// kept_floats.h - large memory for pictures that are made over and over, kept between them.
//
// Model   the system hands out memory cleared, and clearing takes longer than halving a picture does. A
//         block that is given back is therefore kept for the next of about its size. Where none fits,
//         all that are kept go back to the system before new memory is asked for.
// Limits  blocks below kLeastKeptBytes come from the heap; at most kMostKeptBytes are kept.
// Threads any.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>

namespace wheatpaste {

inline constexpr size_t kLeastKeptBytes = size_t{4} << 20;
inline constexpr size_t kMostKeptBytes = size_t{256} << 20;

struct KeepFloats {
  size_t mapped_bytes = 0;  // 0: from the heap
  void operator()(float* data) const;
};
using KeptFloats = std::unique_ptr<float, KeepFloats>;

// On a 64-byte boundary; holds anything.
KeptFloats UnsetFloats(size_t count);

}  // namespace wheatpaste
