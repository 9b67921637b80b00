// run_batch.h - makes the pictures of a run sheet that are not there yet, and keeps the record.
//
// Order   PlanJobs; those whose picture stands unchanged (recipe.h) are left alone; the others scene by scene:
//             solve the scene  ->  for each size: prepare it (light, geometry)  ->  its jobs: artwork, rows, file
//         Jobs of a scene and size share what was prepared. The next scene begins while the last jobs of one still run.
// Threads jobs run side by side (base/run_jobs.h), by number and by the memory that each is thought to take; the bits of
//         a picture depend on neither.
// Failing a scene or artwork with a mistake fails its own jobs; the rest goes on. Where an earlier picture stands, it stays.
// Ends    every picture that is done is in the journal at once; the manifest is written at the end, also of a run that was
//         told to stop: that finishes the jobs it has begun.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/error.h"
#include "batch/manifest.h"
#include "batch/plan_jobs.h"
#include "batch/shard.h"
#include "composite/prepare_scene.h"
#include "scene/run_sheet.h"

namespace wheatpaste {

struct BatchOptions {
  std::string folder;
  ReadSceneOptions scenes;
  std::string version;  // of the program, as it is shown
  std::string build;    // what tells this build from others
  int jobs_at_once = 1;
  int64_t memory_bytes = INT64_MAX;
  Shard shard;
  StagePhotoOptions stage{KeptStagesFolder()};  // how photographs of stages are found or taken
  bool prune = false;                           // remove pictures that no job makes any more
  std::function<bool()> stop;                   // asked between jobs; none: never
  // Prepared scenes are kept for the next Run, and what was saved last is made first.
  bool keeps_scenes = false;
};

// Told of what happens, by one thread at a time.
class BatchObserver {
 public:
  virtual ~BatchObserver() = default;
  // to_do  jobs that will be made, of all that are planned.
  virtual void Begins(size_t to_do, size_t planned) = 0;
  virtual void Ended(const JobRecord& record) = 0;
};

struct BatchResult {
  size_t made = 0, unchanged = 0, failed = 0;
  size_t not_begun = 0;                // the run was told to stop
  std::vector<JobRecord> failures;     // in the order of the plan
  std::vector<std::string> left_over;  // files of earlier runs that no job makes any more
  std::vector<std::string> removed;    // of those, by prune
};

class Batch {
 public:
  explicit Batch(BatchOptions options);
  ~Batch();

  // errors  the plan's; the folder is busy or cannot be written; its manifest is broken. Nothing is made then.
  Result<BatchResult> Run(const RunSheet& sheet, BatchObserver& observer);

  // Every file that the pictures of `sheet` are made from, itself among them: as it names them, and as the last Run
  // read them.
  std::vector<std::string> InputsOf(const RunSheet& sheet) const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace wheatpaste
