#include "image/kept_floats.h"

#include <algorithm>
#include <cstdint>
#include <fstream>

#include <catch2/catch.hpp>

#include <unistd.h>

namespace wheatpaste {
namespace {

constexpr size_t kCount = size_t{16} << 20;  // 64 MiB
constexpr double kMiB = 1 << 20;

// Memory that the program holds, as the system counts it (proc(5), statm, second field).
double ResidentMiB() {
  std::ifstream file("/proc/self/statm");
  double whole = 0, resident = 0;
  file >> whole >> resident;
  return resident * static_cast<double>(sysconf(_SC_PAGESIZE)) / kMiB;
}

}  // namespace

TEST_CASE("Kept floats: a block given back serves the next of about its size",
          "[image][invariant]") {
  KeptFloats block = UnsetFloats(kCount);
  const float* const place = block.get();
  CHECK(reinterpret_cast<uintptr_t>(place) % 64 == 0);
  std::fill_n(block.get(), kCount, 0.5f);
  block.reset();
  block = UnsetFloats(kCount - kCount / 8);
  CHECK(block.get() == place);
  CHECK(block.get()[kCount / 2] == 0.5f);  // the same memory, not cleared
  // Two at once are two.
  const KeptFloats other = UnsetFloats(kCount);
  CHECK(other.get() != place);
}

// Limit  half of the block: other memory comes and goes meanwhile.
TEST_CASE("Kept floats: what does not fit is given back before new memory is asked for",
          "[image][invariant]") {
  KeptFloats block = UnsetFloats(kCount);
  std::fill_n(block.get(), kCount, 1.0f);
  const double held = ResidentMiB();
  block.reset();
  CHECK(ResidentMiB() > held - 32);
  const KeptFloats smaller = UnsetFloats(kCount / 4);
  CHECK(ResidentMiB() < held - 32);
}

}  // namespace wheatpaste
