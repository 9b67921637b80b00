#include "image/kept_floats.h"

#include <algorithm>
#include <mutex>
#include <new>
#include <vector>

#include <sys/mman.h>

#include "image/aligned_heap.h"

namespace wheatpaste {
namespace {

constexpr size_t kLargePageBytes = size_t{2} << 20;

size_t RoundUp(size_t bytes, size_t step) { return (bytes + step - 1) / step * step; }

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
  void* data = mmap(nullptr, whole, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (data == MAP_FAILED) throw std::bad_alloc();
  // Wishes, nothing depends on them: few page faults; no copying while a child process lives.
  madvise(data, whole, MADV_HUGEPAGE);
  madvise(data, whole, MADV_DONTFORK);
  return KeptFloats(static_cast<float*>(data), KeepFloats{whole});
}

}  // namespace wheatpaste
