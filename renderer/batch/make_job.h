// make_job.h - one job of a batch: artwork on a prepared scene, to its file.
#pragma once

#include <optional>
#include <string>

#include "batch/kept_scenes.h"
#include "batch/manifest.h"
#include "batch/plan_jobs.h"
#include "batch/recipe.h"
#include "composite/render_scene.h"
#include "composite/view_distance.h"

namespace wheatpaste {

// How large a picture from a distance is, as its artwork says.
struct JobView {
  std::optional<DistanceView> view;  // none: `errors` say why
  Errors errors;
  ReadFiles files;  // by name, the scene's too
};

struct JobInput {
  const RunSheet& sheet;
  const PlannedJob& job;
  const ReadyScene& ready;
  const InputNames& names;
  const std::string& folder;       // of the batch
  const std::string& version;      // of the program
  const std::string& data_folder;  // holds shared/ and assets-open/
  const JobView* view = nullptr;   // of an output from a distance
};

// The artwork's files for the slots that the scene has; files for others are left out.
// errors  a slot that the artwork has nothing for.
Result<SlotFiles> FilesFor(const Scene& scene, const RunArtwork& artwork);

// The job's colourway with its swatches looked up, the run sheet's own before the scene's. As drawn: no changes.
Result<std::vector<ColourChange>> ChangesFor(const RunSheet& sheet, const PlannedJob& job,
                                             const Scene& scene);

// Of an output from a distance, before its scene is prepared.
JobView ViewFor(const RunSheet& sheet, const PlannedJob& job, const SolvedInput& solved,
                const InputNames& names);

// The record of a job before anything is known of it.
JobRecord DescribeJob(const RunSheet& sheet, const PlannedJob& job);

// Makes the picture. Where that fails the record says why, and what stood there before still stands.
JobRecord MakeJob(const JobInput& input);

}  // namespace wheatpaste
