#include "stage/sampler.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <set>
#include <vector>

namespace wheatpaste {
namespace {

// Source  definition of a (0, m, 2)-net in base 2 (Niederreiter 1987): of 2^m points each box of sides 2^-a and 2^-(m - a) holds one.
TEST_CASE("Sampler: every 2^m first samples of a pair are a net", "[stage][closed-form]") {
  for (const int m : {1, 4, 7}) {
    for (const uint32_t dimension : {0u, 5u, 40u}) {
      for (int a = 0; a <= m; ++a) {
        std::set<std::pair<int, int>> boxes;
        for (uint32_t k = 0; k < (1u << m); ++k) {
          const Pair at = Sampler(9, 12, 34, k).At(dimension);
          boxes.insert(
              {static_cast<int>(std::ldexp(at.x, a)), static_cast<int>(std::ldexp(at.y, m - a))});
        }
        INFO("2^" << m << " samples, dimension " << dimension << ", 2^" << a << " columns");
        CHECK(boxes.size() == size_t{1} << m);
      }
    }
  }
}

// Limit  4 standard errors of the correlation of 4096 independent pairs, 1 / 64 each.
TEST_CASE("Sampler: pixels, dimensions and seeds do not follow each other", "[stage][invariant]") {
  const auto correlation = [](const auto& one, const auto& other) {
    double sum = 0;
    for (int i = 0; i < 4096; ++i) sum += (double{one(i)} - 0.5) * (double{other(i)} - 0.5) * 12;
    return std::abs(sum / 4096);
  };
  const auto x = [](int i) { return Sampler(1, i % 64, i / 64, 3).At(2).x; };
  CHECK(correlation(x, [](int i) { return Sampler(1, i % 64 + 1, i / 64, 3).At(2).x; }) < 1 / 16.0);
  CHECK(correlation(x, [](int i) { return Sampler(1, i % 64, i / 64 + 1, 3).At(2).x; }) < 1 / 16.0);
  CHECK(correlation(x, [](int i) { return Sampler(1, i % 64, i / 64, 3).At(3).x; }) < 1 / 16.0);
  CHECK(correlation(x, [](int i) { return Sampler(1, i % 64, i / 64, 3).At(2).y; }) < 1 / 16.0);
  CHECK(correlation(x, [](int i) { return Sampler(2, i % 64, i / 64, 3).At(2).x; }) < 1 / 16.0);
  CHECK(correlation(x, [](int i) {
          return Sampler(1 + (uint64_t{1} << 40), i % 64, i / 64, 3).At(2).x;
        }) < 1 / 16.0);
}

}  // namespace
}  // namespace wheatpaste
