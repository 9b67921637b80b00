#include "base/run_jobs.h"

#include <mutex>
#include <optional>

#include <tbb/task_group.h>

#include "base/check.h"

namespace wheatpaste {
namespace {

class Queue {
 public:
  Queue(const JobLimits& limits, const std::function<std::variant<Job, NoJob>()>& next)
      : limits_(limits), next_(next) {}

  void Run() {
    Admit();
    group_.wait();
    WHEATPASTE_CHECK(ended_ && !waiting_);
  }

 private:
  // Starts what may start.
  void Admit() {
    const std::lock_guard lock(mutex_);
    while (running_ < limits_.at_once) {
      if (!waiting_ && !Ask()) return;
      if (running_ > 0 && used_ + waiting_->memory_bytes > limits_.memory_bytes) return;
      ++running_;
      used_ += waiting_->memory_bytes;
      group_.run([this, job = *std::exchange(waiting_, std::nullopt)] {
        job.work();
        {
          const std::lock_guard again(mutex_);
          --running_;
          used_ -= job.memory_bytes;
        }
        Admit();
      });
    }
  }

  bool Ask() {
    if (ended_) return false;
    auto answer = next_();
    if (auto* job = std::get_if<Job>(&answer)) {
      waiting_ = std::move(*job);
      return true;
    }
    ended_ = std::get<NoJob>(answer) == NoJob::kAtAll;
    WHEATPASTE_CHECK(ended_ || running_ > 0);
    return false;
  }

  const JobLimits limits_;
  const std::function<std::variant<Job, NoJob>()>& next_;
  std::mutex mutex_;
  std::optional<Job> waiting_;
  int running_ = 0;
  int64_t used_ = 0;
  bool ended_ = false;
  tbb::task_group group_;
};

}  // namespace

void RunJobs(const JobLimits& limits, const std::function<std::variant<Job, NoJob>()>& next) {
  WHEATPASTE_CHECK_OP(limits.at_once, >=, 1);
  Queue(limits, next).Run();
}

}  // namespace wheatpaste
