#include "base/parallel.h"

#include <algorithm>

#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>

#include "base/check.h"

namespace wheatpaste {

struct ThreadLimit::Holder {
  explicit Holder(size_t threads)
      : control(tbb::global_control::max_allowed_parallelism, threads) {}
  tbb::global_control control;
};

ThreadLimit::ThreadLimit(int threads) {
  WHEATPASTE_CHECK_OP(threads, >=, 1);
  holder_ = std::make_unique<Holder>(static_cast<size_t>(threads));
}

ThreadLimit::~ThreadLimit() = default;

int ThreadCount() {
  return static_cast<int>(
      tbb::global_control::active_value(tbb::global_control::max_allowed_parallelism));
}

void ParallelFor(int64_t count, const std::function<void(int64_t)>& work) {
  if (ThreadCount() == 1) {
    for (int64_t i = 0; i < count; ++i) work(i);
    return;
  }
  // A thread that waits for its loop's end takes no other work up meanwhile: a job begun in the middle of another
  // would hold both up.
  tbb::this_task_arena::isolate([&] {
    tbb::parallel_for(
        tbb::blocked_range<int64_t>(0, count, 1),
        [&work](const tbb::blocked_range<int64_t>& range) {
          for (int64_t i = range.begin(); i < range.end(); ++i) work(i);
        },
        tbb::simple_partitioner());
  });
}

void ParallelRows(int64_t rows, int64_t band, const std::function<void(int64_t, int64_t)>& work) {
  WHEATPASTE_CHECK_OP(band, >=, 1);
  ParallelFor((rows + band - 1) / band,
              [&](int64_t i) { work(i * band, std::min(rows, (i + 1) * band)); });
}

}  // namespace wheatpaste
