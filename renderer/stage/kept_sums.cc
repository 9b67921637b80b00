#include "stage/kept_sums.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <string_view>
#include <vector>

#include "base/files.h"
#include "base/read_log.h"

namespace wheatpaste {
namespace {

constexpr std::string_view kHead = "wheatpaste sums 2\n";
constexpr int64_t kMostBytes = int64_t{1} << 34;

// Calls use(row of floats) for every row of every sum, in the file's order, until it returns false.
template <typename Sums, typename Use>
bool ForEachRow(Sums& sums, const Use& use) {
  const auto all = [&](auto& image) {
    for (int plane = 0; plane < image.kPlanes; ++plane) {
      for (int64_t y = 0; y < image.height(); ++y) {
        if (!use(image.row(plane, y), static_cast<size_t>(image.width()) * sizeof(float))) {
          return false;
        }
      }
    }
    return true;
  };
  const bool whole = all(sums.diffuse) && all(sums.mirrored) && all(sums.albedo) &&
                     all(sums.diffuse_squared) && all(sums.mirrored_squared) && all(sums.normal) &&
                     all(sums.depth) && all(sums.depth_squared);
  return whole && std::all_of(sums.thrown.begin(), sums.thrown.end(), [&](auto& thrown) {
           return all(thrown.light) && all(thrown.squared);
         });
}

}  // namespace

std::optional<TraceSums> ReadSums(const std::string& path, SizePx size, int32_t throwers) {
  const ReadLog unnoted;
  const auto bytes = ReadWholeFile({path, {}, ""}, kMostBytes);
  std::array<int64_t, 3> facts{};
  if (!bytes || bytes->size() < kHead.size() + sizeof facts ||
      std::memcmp(bytes->data(), kHead.data(), kHead.size()) != 0) {
    return std::nullopt;
  }
  std::memcpy(facts.data(), bytes->data() + kHead.size(), sizeof facts);
  const int64_t floats = (int64_t{20} + int64_t{6} * throwers) * size.area();
  const size_t head = kHead.size() + sizeof facts;
  if (facts[0] != size.width || facts[1] != size.height || facts[2] < 0 || facts[2] > (1 << 30) ||
      bytes->size() != head + static_cast<size_t>(floats) * sizeof(float)) {
    return std::nullopt;
  }
  TraceSums sums = EmptySums(size, throwers);
  sums.samples = static_cast<int>(facts[2]);
  const uint8_t* from = bytes->data() + head;
  ForEachRow(sums, [&](float* row, size_t count) {
    std::memcpy(row, from, count);
    from += count;
    return true;
  });
  return sums;
}

Status WriteSums(const TraceSums& sums, const std::string& path) {
  auto file = PendingFile::Create(path);
  if (!file) return file.errors();
  const std::array<int64_t, 3> facts{sums.diffuse.width(), sums.diffuse.height(), sums.samples};
  Status written = file->Write(kHead.data(), kHead.size());
  if (written) written = file->Write(facts.data(), sizeof facts);
  if (written) {
    ForEachRow(sums, [&](const float* row, size_t count) {
      written = file->Write(row, count);
      return written.ok();
    });
  }
  if (!written) return written;
  if (auto committed = file->Commit(); !committed) return committed.errors();
  return Done{};
}

}  // namespace wheatpaste
