// batch_folder.h - a batch's folder on disk: one run at a time, and nothing in it that nobody made.
//
// Lock    a hidden file that the run holds locked (flock) and that the system lets go when the run ends, however it
//         ends. A run of the whole sheet holds the folder alone; shards hold it together, each its own part alone.
// Rests   a file that was being written when a run was killed has a hidden name (base/files.h): ".NAME.XXXXXX".
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "batch/shard.h"

namespace wheatpaste {

class FolderLock {
 public:
  // Makes the folder where it is not there.
  // errors  cannot make or write it; another run is at work in it.
  static Result<FolderLock> Take(const std::string& folder, const Shard& shard);
  FolderLock(FolderLock&& other) noexcept;
  FolderLock& operator=(FolderLock&&) = delete;
  ~FolderLock();

 private:
  FolderLock(int whole, int part) : whole_(whole), part_(part) {}
  int whole_, part_;  // descriptors; -1: none
};

// Removes what killed runs left beside `files` (relative to `folder`).
void RemoveRests(const std::string& folder, const std::vector<std::string>& files);

// Makes the folder and those above it, where they are not there.
Status MakeFolder(const std::string& folder);

}  // namespace wheatpaste
