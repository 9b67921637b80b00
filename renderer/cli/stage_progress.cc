#include "cli/stage_progress.h"

#include <atomic>
#include <cmath>
#include <csignal>
#include <memory>
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

}  // namespace

std::string DurationText(double seconds) {
  const auto whole = static_cast<int64_t>(std::lround(seconds));
  if (whole < 60) return fmt::format("{} s", whole);
  return fmt::format("{} min {} s", whole / 60, whole % 60);
}

StagePhotoOptions ToldStagePhotoOptions() {
  StagePhotoOptions options;
  options.folder = KeptStagesFolder();
  const auto quarters = std::make_shared<int>(0);
  const bool terminal = isatty(STDERR_FILENO) == 1;
  options.progress = [quarters, terminal, begun = false](const StageProgress& progress) mutable {
    if (!begun) StopOnSignals();
    begun = true;
    if (terminal) {
      DrawBar(progress);
    } else if (4 * progress.samples / progress.of > *quarters) {
      *quarters = 4 * progress.samples / progress.of;
      fmt::print(stderr, "stage: {} of {} samples a pixel, {}\n", progress.samples, progress.of,
                 DurationText(progress.seconds));
    }
    if (told_to_stop && terminal) fmt::print(stderr, "\n");
    return !told_to_stop;
  };
  return options;
}

}  // namespace wheatpaste
