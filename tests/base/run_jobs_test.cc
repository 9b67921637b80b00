#include "base/run_jobs.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <mutex>
#include <thread>
#include <vector>

#include <catch2/catch.hpp>

#include "base/parallel.h"

namespace wheatpaste {
namespace {

// What ran beside what.
struct Watch {
  std::mutex mutex;
  int running = 0, most = 0;
  int64_t memory = 0, most_memory = 0;
  std::vector<size_t> order;

  void Begin(size_t job, int64_t bytes) {
    const std::lock_guard lock(mutex);
    order.push_back(job);
    most = std::max(most, ++running);
    memory += bytes;
    most_memory = std::max(most_memory, memory);
  }
  void End(int64_t bytes) {
    const std::lock_guard lock(mutex);
    --running;
    memory -= bytes;
  }
};

void RunAll(const JobLimits& limits, const std::vector<int64_t>& bytes, Watch& watch) {
  size_t next = 0;
  RunJobs(limits, [&]() -> std::variant<Job, NoJob> {
    if (next == bytes.size()) return NoJob::kAtAll;
    const size_t job = next++;
    return Job{bytes[job], [&watch, &bytes, job] {
                 watch.Begin(job, bytes[job]);
                 std::this_thread::sleep_for(std::chrono::milliseconds(2));
                 // A loop inside a job begins no other job on this thread.
                 std::atomic<int> sum{0};
                 ParallelFor(50, [&sum](int64_t i) { sum += static_cast<int>(i); });
                 CHECK(sum == 49 * 50 / 2);
                 watch.End(bytes[job]);
               }};
  });
}

TEST_CASE("RunJobs: runs every job once, never more at once than allowed", "[base][invariant]") {
  for (const int at_once : {1, 2, 3}) {
    Watch watch;
    RunAll({at_once, INT64_MAX}, std::vector<int64_t>(60, 1), watch);
    CHECK(watch.most <= at_once);
    REQUIRE(watch.order.size() == 60);
    std::sort(watch.order.begin(), watch.order.end());
    for (size_t i = 0; i < 60; ++i) CHECK(watch.order[i] == i);
  }
}

TEST_CASE("RunJobs: memory holds jobs back; one larger than all of it runs alone",
          "[base][invariant]") {
  Watch watch;
  std::vector<int64_t> bytes;
  for (int i = 0; i < 40; ++i) bytes.push_back(i % 7 == 0 ? 500 : 10 + i);
  RunAll({4, 100}, bytes, watch);
  CHECK(watch.order.size() == 40);
  CHECK(watch.most_memory == 500);  // the large ones, with nothing beside them
}

TEST_CASE("RunJobs: a job that waits for another's result starts after it", "[base][invariant]") {
  // As a batch does: what is prepared first serves the rest.
  std::atomic<bool> ready{false}, begun{false};
  int given = 0;
  std::atomic<int> early{0};
  RunJobs({2, INT64_MAX}, [&]() -> std::variant<Job, NoJob> {
    if (!begun) {
      begun = true;
      return Job{1, [&] {
                   std::this_thread::sleep_for(std::chrono::milliseconds(5));
                   ready = true;
                 }};
    }
    if (!ready) return NoJob::kForNow;
    if (given == 10) return NoJob::kAtAll;
    ++given;
    return Job{1, [&] { early += ready ? 0 : 1; }};
  });
  CHECK(given == 10);
  CHECK(early == 0);
}

}  // namespace
}  // namespace wheatpaste
