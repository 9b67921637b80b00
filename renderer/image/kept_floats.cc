#include "image/kept_floats.h"

#include <algorithm>
#include <mutex>
#include <vector>

#include "image/float_memory.h"

namespace wheatpaste {
namespace {

struct Block {
  float* data;
  size_t bytes;
};

class Keep {
 public:
  // The smallest kept block that holds `bytes` and wastes at most a quarter of them; else none, and
  // nothing is kept any more.
  Block Take(size_t bytes) {
    const std::lock_guard lock(mutex_);
    auto best = blocks_.end();
    for (auto at = blocks_.begin(); at != blocks_.end(); ++at) {
      if (at->bytes < bytes || at->bytes > bytes + bytes / 4) continue;
      if (best == blocks_.end() || at->bytes < best->bytes) best = at;
    }
    if (best != blocks_.end()) {
      const Block block = *best;
      blocks_.erase(best);
      kept_bytes_ -= block.bytes;
      return block;
    }
    for (const Block& block : blocks_) munmap(block.data, block.bytes);
    blocks_.clear();
    kept_bytes_ = 0;
    return {nullptr, 0};
  }

  // False where there is no room.
  bool Put(const Block& block) {
    const std::lock_guard lock(mutex_);
    if (kept_bytes_ + block.bytes > kMostKeptBytes) return false;
    blocks_.push_back(block);
    kept_bytes_ += block.bytes;
    return true;
  }

 private:
  std::mutex mutex_;
  std::vector<Block> blocks_;
  size_t kept_bytes_ = 0;
};

// Lives as long as the program: pictures may be given back at its very end.
Keep& TheKeep() {
  static Keep& keep = *new Keep;
  return keep;
}

}  // namespace

void KeepFloats::operator()(float* data) const {
  if (mapped_bytes == 0) {
    GiveBackAligned(data);
  } else if (!TheKeep().Put({data, mapped_bytes})) {
    munmap(data, mapped_bytes);
  }
}

KeptFloats UnsetFloats(size_t count) {
  const size_t bytes = RoundUp(std::max<size_t>(1, count) * sizeof(float), kAlignBytes);
  if (bytes < kLeastKeptBytes) {
    return KeptFloats(TakeAligned(bytes), KeepFloats{0});
  }
  const size_t whole = RoundUp(bytes, kLargePageBytes);
  if (const Block kept = TheKeep().Take(whole); kept.data != nullptr) {
    return KeptFloats(kept.data, KeepFloats{kept.bytes});
  }
  return KeptFloats(MapPages(whole), KeepFloats{whole});
}

}  // namespace wheatpaste
