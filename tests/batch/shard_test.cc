#include "batch/shard.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <catch2/catch.hpp>

namespace wheatpaste {
namespace {

TEST_CASE("JobsOf: shards share every job out once, evenly by cost", "[batch][invariant]") {
  constexpr size_t kJobs = 1000;
  std::vector<double> costs;
  uint32_t noise = 1;
  double total = 0, largest = 0;
  for (size_t i = 0; i < kJobs; ++i) {
    noise = noise * 1664525 + 1013904223;
    costs.push_back(1 + noise % 97);
    total += costs.back();
    largest = std::max(largest, costs.back());
  }
  for (const int parts : {1, 2, 3, 7, 64}) {
    std::vector<int> times(kJobs);
    for (int part = 1; part <= parts; ++part) {
      double cost = 0;
      for (const size_t i : JobsOf({part, parts}, costs)) {
        ++times[i];
        cost += costs[i];
      }
      // A job that lies across a border makes a part larger by half its own cost at either end.
      CHECK(std::abs(cost - total / parts) <= largest + 1e-6 * total);
    }
    for (const int count : times) REQUIRE(count == 1);
  }
}

TEST_CASE("ReadShard: PART/PARTS and nothing else", "[batch][bad-input]") {
  const auto read = [](const std::string& text) {
    return ReadShard({text, {"--shard " + text}, ""});
  };
  REQUIRE(read("2/4").ok());
  CHECK(read("2/4")->part == 2);
  CHECK(ManifestNameOf(*read("2/4")) == "manifest-2-of-4.json");
  CHECK(ManifestNameOf(Shard{}) == "manifest.json");
  for (const char* wrong : {"", "2", "0/4", "5/4", "a/4", "2/4 ", "-1/4", "1/99999", "1//2"}) {
    const auto shard = read(wrong);
    REQUIRE_FALSE(shard.ok());
    CHECK(FormatError(shard.errors().front()) ==
          std::string("--shard ") + wrong + ": error: expected PART/PARTS, such as 2/4");
  }
}

}  // namespace
}  // namespace wheatpaste
