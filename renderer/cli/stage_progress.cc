#include "cli/stage_progress.h"

#include <atomic>
#include <cmath>
#include <csignal>
#include <string>

#include <fmt/format.h>
#include <unistd.h>

namespace wheatpaste {
namespace {

constexpr int kBarWidth = 24;

std::atomic<bool> told_to_stop{false};

void StopOnSignals() {
  struct sigaction action {};
  action.sa_handler = [](int) { told_to_stop = true; };
  action.sa_flags = static_cast<int>(SA_RESETHAND);
  sigaction(SIGINT, &action, nullptr);
  sigaction(SIGTERM, &action, nullptr);
}

void DrawBar(const StageProgress& progress) {
  const int full = kBarWidth * progress.samples / progress.of;
  std::string bar(static_cast<size_t>(full), '#');
  bar.resize(kBarWidth, '.');
  const bool done = progress.samples == progress.of;
  fmt::print(stderr, "\rstage [{}] {} of {} samples a pixel, {}{}", bar, progress.samples,
             progress.of,
             done ? DurationText(progress.seconds) : DurationText(progress.seconds_left) + " left",
             done ? "          \n" : "   ");
}

// Of one photograph.
class Teller {
 public:
  void Tell(const StageProgress& progress) {
    if (terminal_) {
      DrawBar(progress);
    } else if (4 * progress.samples / progress.of > quarters_) {
      quarters_ = 4 * progress.samples / progress.of;
      fmt::print(stderr, "stage: {} of {} samples a pixel, {}\n", progress.samples, progress.of,
                 DurationText(progress.seconds));
    }
  }
  void End() const {
    if (terminal_) fmt::print(stderr, "\n");
  }

 private:
  bool terminal_ = isatty(STDERR_FILENO) == 1;
  int quarters_ = 0;
};

}  // namespace

std::string DurationText(double seconds) {
  const auto whole = static_cast<int64_t>(std::lround(seconds));
  if (whole < 60) return fmt::format("{} s", whole);
  return fmt::format("{} min {} s", whole / 60, whole % 60);
}

StagePhotoOptions ToldStagePhotoOptions() {
  StagePhotoOptions options;
  options.folder = KeptStagesFolder();
  options.resumable = true;
  options.progress = [teller = Teller(), begun = false](const StageProgress& progress) mutable {
    if (!begun) StopOnSignals();
    begun = true;
    teller.Tell(progress);
    if (told_to_stop) teller.End();
    return !told_to_stop;
  };
  return options;
}

StagePhotoOptions BatchStagePhotoOptions(const std::function<bool()>& stop, bool told) {
  StagePhotoOptions options;
  options.folder = KeptStagesFolder();
  options.resumable = true;
  options.progress = [teller = Teller(), stop, told](const StageProgress& progress) mutable {
    if (told) teller.Tell(progress);
    if (told && stop()) teller.End();
    return !stop();
  };
  return options;
}

}  // namespace wheatpaste
