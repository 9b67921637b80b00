#include "base/parallel.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <atomic>
#include <vector>

namespace wheatpaste {
namespace {

TEST_CASE("Parallel rows: each row once, in bands, for any thread count", "[base][invariant]") {
  for (const int threads : {1, 2, 3, 8}) {
    const ThreadLimit limit(threads);
    CHECK(ThreadCount() == threads);
    for (const int64_t rows : {0, 1, 7, 16, 17, 1000}) {
      for (const int64_t band : {1, 4, 16, 5000}) {
        INFO(threads << " threads, " << rows << " rows in bands of " << band);
        std::vector<std::atomic<int>> visits(static_cast<size_t>(rows));
        std::atomic<int> wrong = 0;
        ParallelRows(rows, band, [&](int64_t y0, int64_t y1) {
          if (y0 % band != 0 || y1 - y0 > band || y1 <= y0 || y1 > rows) ++wrong;
          for (int64_t y = y0; y < y1; ++y) ++visits[static_cast<size_t>(y)];
        });
        CHECK(wrong == 0);
        CHECK(std::all_of(visits.begin(), visits.end(), [](const auto& n) { return n == 1; }));
      }
    }
  }
}

TEST_CASE("Parallel for: nested loops finish and visit each pair once", "[base][invariant]") {
  for (const int threads : {1, 4}) {
    const ThreadLimit limit(threads);
    std::vector<std::atomic<int>> visits(30 * 40);
    ParallelFor(30, [&](int64_t i) {
      ParallelFor(40, [&, i](int64_t j) { ++visits[static_cast<size_t>(i * 40 + j)]; });
    });
    CHECK(std::all_of(visits.begin(), visits.end(), [](const auto& n) { return n == 1; }));
  }
}

TEST_CASE("Thread limit: ends with its object", "[base][invariant]") {
  const int before = ThreadCount();
  {
    const ThreadLimit limit(1);
    CHECK(ThreadCount() == 1);
  }
  CHECK(ThreadCount() == before);
}

}  // namespace
}  // namespace wheatpaste
