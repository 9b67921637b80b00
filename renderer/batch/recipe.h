// recipe.h - what decides about a job's picture: by name the files it was made from, and one digest for all the rest.
//
// Model   a picture depends on the program, on what the run sheet says of its job, and on the files that were read for
//         it (base/read_log.h). What else a run sheet says does not matter: a new title or another artwork leaves a
//         picture as it is. Not seen: the fonts of live text, and the machine's own libraries.
#pragma once

#include <map>
#include <string>

#include "base/read_log.h"
#include "batch/manifest.h"
#include "batch/plan_jobs.h"
#include "scene/run_sheet.h"

namespace wheatpaste {

// Names for input files that hold on another machine too: relative to the run sheet's folder, or, with "wheatpaste:"
// before it, to the program's data folder.
class InputNames {
 public:
  InputNames(const std::string& run_sheet, const std::string& data_folder);
  std::string NameOf(const std::string& path) const;
  std::string PathOf(const std::string& name) const;
  // By name what `files` has by path.
  ReadFiles NamesOf(const ReadFiles& files) const;

 private:
  std::string sheet_folder_, data_folder_;
};

// Digests of files as they are now, each read once.
class InputDigests {
 public:
  explicit InputDigests(const InputNames& names) : names_(names) {}
  // Are all of `inputs` (by name) what they were? A file that cannot be read is not.
  bool Unchanged(const ReadFiles& inputs);

 private:
  const InputNames& names_;
  std::map<std::string, std::string> now_;
};

// program  its version, and whatever else tells one build from another.
std::string RecipeOf(const RunSheet& sheet, const PlannedJob& job, const InputNames& names,
                     const std::string& program);

// True where the job's picture stands in `folder` as recorded and would come out the same.
bool IsUpToDate(const JobRecord& record, const std::string& recipe, const std::string& folder,
                InputDigests& digests);

// How `path` is called from `folder`, links followed.
std::string RelativePath(const std::string& path, const std::string& folder);

// Time of a file's last change, nanoseconds since 1970; 0 where there is none.
int64_t ChangedNs(const std::string& path);

}  // namespace wheatpaste
