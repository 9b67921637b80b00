// batch_progress.h - what a batch tells while it runs: a bar on a terminal, plain lines elsewhere, JSON lines for programs.
//
// Bar     on the error output where that is a terminal: done of all, pictures a second, time left, the last file.
// Lines   else on the standard output, one for each picture.
// JSON    on the standard output, an object a line: {"event": "begin" | "picture" | "end", ...}; nothing else goes there.
// Quiet   mistakes alone.
// At the end: counts, then each note and warning once with the number of pictures it holds for, then what failed, in the
// order of the plan, with its errors.
#pragma once

#include <chrono>
#include <map>
#include <string>

#include "batch/run_batch.h"

namespace wheatpaste {

class BatchProgress : public BatchObserver {
 public:
  enum class Style { kPeople, kQuiet, kJsonLines };
  explicit BatchProgress(Style style);

  void Begins(size_t to_do, size_t planned) override;
  void Ended(const JobRecord& record) override;
  // folder  of the batch, for the last line.
  void Finish(const BatchResult& result, const std::string& folder);

 private:
  void DrawBar(const std::string& file);
  void EraseBar();
  double seconds() const;

  Style style_;
  bool bar_;  // draw one
  size_t to_do_ = 0, ended_ = 0;
  std::chrono::steady_clock::time_point begin_;
  std::map<std::string, size_t> notes_, warnings_;  // with the number of pictures
};

}  // namespace wheatpaste
