// plan_jobs.h - the jobs of a run sheet: which picture goes to which file.
//
// Order   scene by scene, then output by output, so that what is found once for a scene and a size serves one job after
//         another; then artwork and colourway in the order of the sheet.
// File    <scene>/<artwork>[-<colourway>]-<output>.<ending>, below the batch's folder.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "scene/run_sheet.h"

namespace wheatpaste {

struct PlannedJob {
  size_t scene = 0, artwork = 0, output = 0;  // indices into the run sheet's lists
  std::optional<size_t> colourway;            // none: as drawn
  std::string file;                           // relative to the batch's folder
};

// errors  two jobs whose files would have one name; rules that leave nothing to do.
Result<std::vector<PlannedJob>> PlanJobs(const RunSheet& sheet);

// A mistake for each slot that an artwork fills and no scene of the sheet has: most likely misspelt. None where a scene
// cannot be read, which its own jobs report.
Errors UnknownSlots(const RunSheet& sheet, const ReadSceneOptions& options);

}  // namespace wheatpaste
