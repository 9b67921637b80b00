// parallel.h - the only place from which loops run on several threads.
//
// The work is cut into the same pieces for any thread count, and no piece sees another's result, so
// the output has the same bits however many threads run.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>

namespace wheatpaste {

// Holds the number of worker threads for the life of the object (process-wide).
class ThreadLimit {
 public:
  // threads  at least 1.
  explicit ThreadLimit(int threads);
  ~ThreadLimit();
  ThreadLimit(const ThreadLimit&) = delete;
  ThreadLimit& operator=(const ThreadLimit&) = delete;

 private:
  struct Holder;
  std::unique_ptr<Holder> holder_;
};

// Threads that may run at once: the machine's, or those of the ThreadLimit in force.
int ThreadCount();

// Runs `work(i)` for every i in [0, count), in any order, on the threads of the machine.
// `work` must not throw.
void ParallelFor(int64_t count, const std::function<void(int64_t)>& work);

// Cuts [0, rows) into bands of `band` rows (the last may be shorter) and runs `work(y0, y1)` on each.
void ParallelRows(int64_t rows, int64_t band, const std::function<void(int64_t, int64_t)>& work);

}  // namespace wheatpaste
