// file_watch.h - waits until files change (inotify).
//
// Model   the folders that hold the files are watched, not the files: programs save by writing beside and renaming, or
//         remove and write anew. A save counts when the file was closed after writing, or moved into its place.
// Limits  one inotify instance; as many folders as the system lets a user watch.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "base/error.h"

namespace wheatpaste {

class FileWatch {
 public:
  // errors  the system gives no inotify instance.
  static Result<FileWatch> Create();
  FileWatch(FileWatch&& other) noexcept;
  FileWatch& operator=(FileWatch&&) = delete;
  ~FileWatch();

  // From now on, these files; those before are forgotten. A file need not exist; one whose folder does not is not watched.
  // errors  a folder that cannot be watched.
  Status Set(const std::vector<std::string>& files);

  // Waits up to `milliseconds` for the first change, then until changes pause for a moment.
  // returns  whether any file changed.
  bool Wait(int milliseconds);
  // Whether any has changed since the last Wait; does not wait and does not forget it.
  bool Pending();

 private:
  explicit FileWatch(int descriptor) : descriptor_(descriptor) {}
  // Takes the system's events for up to `milliseconds`; false when none came.
  bool Take(int milliseconds);

  int descriptor_;
  std::map<int, std::string> folders_;                  // by inotify's number
  std::map<std::string, std::set<std::string>> files_;  // names by folder
  bool changed_ = false;
};

}  // namespace wheatpaste
