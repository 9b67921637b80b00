#include "base/large_pages.h"

#include <catch2/catch.hpp>

#include <array>
#include <cstdint>
#include <vector>

namespace wheatpaste {

TEST_CASE("Large pages: vectors of any size keep what they hold, on a line's boundary",
          "[base][invariant]") {
  using Pixel = std::array<float, 3>;
  for (const size_t count : {size_t{1}, size_t{1000}, kLargePageBytes / sizeof(Pixel) - 1,
                             kLargePageBytes / sizeof(Pixel) + 1, size_t{3'000'000}}) {
    std::vector<Pixel, LargePages<Pixel>> pixels;
    for (size_t i = 0; i < count; ++i) pixels.push_back({static_cast<float>(i), 0, 1});
    CHECK(reinterpret_cast<uintptr_t>(pixels.data()) % 64 == 0);
    bool kept = true;
    for (size_t i = 0; i < count; ++i) kept = kept && pixels[i][0] == static_cast<float>(i);
    CHECK(kept);
    const auto copy = pixels;
    CHECK(copy == pixels);
  }
}

}  // namespace wheatpaste
