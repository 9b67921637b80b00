#include <atomic>
#include <csignal>
#include <filesystem>
#include <memory>
#include <optional>

#include <unistd.h>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/parallel.h"
#include "batch/file_watch.h"
#include "batch/run_batch.h"
#include "cli/arguments.h"
#include "cli/batch_progress.h"
#include "cli/commands.h"
#include "cli/report.h"
#include "cli/stage_progress.h"
#include "scene/run_sheet.h"

namespace wheatpaste {
namespace {

// Share of the machine's memory that jobs may take unless --memory says otherwise.
constexpr double kMemoryShare = 0.7;

// How long a wait for changes lasts before it is asked whether to stop.
constexpr int kWatchMs = 500;

std::atomic<bool> told_to_stop{false};

// The first signal lets the jobs that have begun finish; a second one ends the program at once.
void StopOnSignals() {
  struct sigaction action {};
  action.sa_handler = [](int) { told_to_stop = true; };
  action.sa_flags = static_cast<int>(SA_RESETHAND | SA_RESTART);
  for (const int number : {SIGINT, SIGTERM}) sigaction(number, &action, nullptr);
}

// The program's own bytes: another build may make other pictures, whatever its version says.
std::string ThisBuild() {
  const auto digest = Sha256OfFile("/proc/self/exe");
  return digest ? *digest : std::string();
}

int StatusOf(const BatchResult& result) {
  return result.failed + result.not_begun > 0 ? kExitSomeFailed : kExitDone;
}

// Runs the sheet again whenever a file that it reads is saved, until it is told to stop.
int Watch(BatchOptions options, const std::string& path, RunSheet sheet, BatchProgress& progress) {
  auto watch = FileWatch::Create();
  if (!watch) return Refuse(watch.errors());
  const std::string folder = options.folder;
  const ReadSceneOptions scenes = options.scenes;
  options.keeps_scenes = true;
  // What was saved meanwhile comes first: the run gives way to one that knows of it.
  options.stop = [&watch] { return told_to_stop || watch->Pending(); };
  Batch batch(std::move(options));
  std::optional<int> status;  // of the last run that could be made
  while (!told_to_stop) {
    if (auto set = watch->Set(batch.InputsOf(sheet)); !set) return Refuse(set.errors());
    const auto result = batch.Run(sheet, progress);
    if (result) {
      status = StatusOf(*result);
      if (!watch->Pending()) progress.Finish(*result, folder);
      if (auto set = watch->Set(batch.InputsOf(sheet)); !set) return Refuse(set.errors());
    } else if (!status) {
      return Refuse(result.errors());
    } else {
      Refuse(result.errors());  // a mistake in what was just saved: the next save may mend it
    }
    for (bool readable = false; !readable && !told_to_stop;) {
      while (!told_to_stop && !watch->Wait(kWatchMs)) {
      }
      if (told_to_stop) break;
      auto again = ReadRunSheet(path, scenes);
      readable = again.ok();
      if (readable) {
        sheet = *std::move(again);
      } else {
        Refuse(again.errors());
      }
    }
  }
  return status.value_or(kExitDone);
}

}  // namespace

int RunBatchCommand(const BatchArguments& arguments) {
  Errors errors;
  const auto take = [&errors](auto result) {
    if (!result) errors.insert(errors.end(), result.errors().begin(), result.errors().end());
    return result;
  };
  std::unique_ptr<ThreadLimit> limit;
  if (arguments.threads) {
    if (auto threads = take(ReadThreads(*arguments.threads))) {
      limit = std::make_unique<ThreadLimit>(*threads);
    }
  }
  BatchOptions options;
  options.jobs_at_once = ThreadCount();
  if (arguments.jobs) {
    if (auto jobs = take(ReadJobs(*arguments.jobs))) options.jobs_at_once = *jobs;
  }
  options.memory_bytes =
      static_cast<int64_t>(kMemoryShare * static_cast<double>(sysconf(_SC_PHYS_PAGES)) *
                           static_cast<double>(sysconf(_SC_PAGESIZE)));
  if (arguments.memory) {
    if (auto memory = take(ReadMemory(*arguments.memory))) options.memory_bytes = *memory;
  }
  if (arguments.shard) {
    if (auto shard = take(ReadShard(PlacedOption("--shard", *arguments.shard))))
      options.shard = *shard;
  }
  if (arguments.prune && options.shard.parts > 1) {
    errors.push_back(
        {{"--prune"}, "", "expected without --shard: one part does not know what the others make"});
  }
  options.scenes = {DataFolder(), arguments.allow};
  const auto sheet = take(ReadRunSheet(arguments.run_sheet, options.scenes));
  if (!errors.empty()) return Refuse(errors);
  options.folder =
      arguments.out.value_or(std::filesystem::path(arguments.run_sheet).stem().string() + "-out");
  options.version = WHEATPASTE_VERSION;
  options.build = ThisBuild();
  options.prune = arguments.prune;
  options.stop = [] { return told_to_stop.load(); };
  options.stage = BatchStagePhotoOptions(options.stop, !arguments.json_lines && !arguments.quiet);
  StopOnSignals();

  BatchProgress progress(arguments.json_lines ? BatchProgress::Style::kJsonLines
                         : arguments.quiet    ? BatchProgress::Style::kQuiet
                                              : BatchProgress::Style::kPeople);
  const std::string folder = options.folder;
  if (!arguments.watch) {
    Batch batch(std::move(options));
    const auto result = batch.Run(*sheet, progress);
    if (!result) return Refuse(result.errors());
    progress.Finish(*result, folder);
    return StatusOf(*result);
  }
  return Watch(std::move(options), arguments.run_sheet, *sheet, progress);
}

}  // namespace wheatpaste
