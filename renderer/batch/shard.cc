#include "batch/shard.h"

#include <algorithm>
#include <charconv>
#include <string_view>

#include <fmt/format.h>

#include "batch/manifest.h"

namespace wheatpaste {
namespace {

int ParseWhole(std::string_view text) {
  int value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  return fault == std::errc() && end == text.data() + text.size() ? value : 0;
}

}  // namespace

std::string ManifestNameOf(const Shard& shard) {
  if (shard.parts == 1) return kManifestName;
  return fmt::format("manifest-{}-of-{}.json", shard.part, shard.parts);
}

Result<Shard> ReadShard(const Placed<std::string>& text) {
  const size_t slash = text.value.find('/');
  Shard shard;
  if (slash != std::string::npos) {
    shard.part = ParseWhole(std::string_view(text.value).substr(0, slash));
    shard.parts = ParseWhole(std::string_view(text.value).substr(slash + 1));
  }
  constexpr int kMostParts = 10'000;
  if (slash == std::string::npos || shard.part < 1 || shard.parts < shard.part ||
      shard.parts > kMostParts) {
    return Error{text.place, "", "expected PART/PARTS, such as 2/4"};
  }
  return shard;
}

std::vector<size_t> JobsOf(const Shard& shard, const std::vector<double>& costs) {
  double total = 0;
  for (const double cost : costs) total += cost;
  // Jobs in their order, one part after another; a job belongs where its middle lies.
  std::vector<size_t> own;
  double before = 0;
  for (size_t i = 0; i < costs.size(); ++i) {
    const double middle = before + costs[i] / 2;
    const int part = std::min(shard.parts, 1 + static_cast<int>(middle / total * shard.parts));
    if (part == shard.part) own.push_back(i);
    before += costs[i];
  }
  return own;
}

}  // namespace wheatpaste
