// run_jobs.h - large pieces of work side by side, admitted by number and by memory.
//
// Model   whenever fewer than `at_once` jobs run, the next one is asked for. It starts once its memory fits under the
//         ceiling beside those that run, or when nothing else runs: a job larger than the ceiling runs alone rather than
//         never. Jobs may use parallel loops (parallel.h): threads without a job of their own help in them.
#pragma once

#include <cstdint>
#include <functional>
#include <variant>

namespace wheatpaste {

struct Job {
  int64_t memory_bytes = 0;    // that it takes while it runs
  std::function<void()> work;  // must not throw
};

enum class NoJob {
  kForNow,  // ask again when one has ended
  kAtAll    // the last one has been given
};

struct JobLimits {
  int at_once = 1;
  int64_t memory_bytes = INT64_MAX;
};

// Returns when every job has ended.
// next  is called by one thread at a time. It answers kForNow only while some job runs.
void RunJobs(const JobLimits& limits, const std::function<std::variant<Job, NoJob>()>& next);

}  // namespace wheatpaste
