// files.h - reading with a size limit, and writing that appears whole or not at all.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"

namespace wheatpaste {

using Bytes = std::vector<uint8_t>;

// Reads a regular file of at most `max_bytes`.
// path     with its place and key, so that the error names the line that asked for the file.
// errors   not there, not a regular file, not readable, larger than `max_bytes`.
Result<Bytes> ReadWholeFile(const Placed<std::string>& path, int64_t max_bytes);

// A file that exists under its own name only once it is whole: bytes go to a hidden file beside it,
// Commit() flushes that to the disk and renames it. Destroyed without Commit(), it leaves nothing.
class PendingFile {
 public:
  // errors  the folder is not there, not writable, or `path` is not a regular file.
  static Result<PendingFile> Create(const std::string& path);
  PendingFile(PendingFile&& other) noexcept;
  PendingFile& operator=(PendingFile&&) = delete;
  ~PendingFile();

  // errors  disk full and every other refusal of the system, in its own words.
  Status Write(const void* data, size_t size);
  Status Seek(int64_t offset);
  Result<int64_t> Commit();  // returns the file's size in bytes
  int descriptor() const { return descriptor_; }
  const std::string& path() const { return path_; }

 private:
  PendingFile(std::string path, std::string hidden, int descriptor)
      : path_(std::move(path)), hidden_(std::move(hidden)), descriptor_(descriptor) {}
  std::string path_;
  std::string hidden_;
  int descriptor_ = -1;
};

// "cannot write" at `path`, with what the system last said (errno) as the reason.
Error CannotWrite(const std::string& path);

// All of the data to an open file of the system's; `path` is for the message.
// errors  as CannotWrite.
Status WriteAll(int descriptor, const void* data, size_t size, const std::string& path);

// Writes `data` through a PendingFile.
Status WriteWholeFile(const std::string& path, std::string_view data);

// `name` as found from `folder`: itself when absolute, else joined. Purely textual.
std::string JoinPath(const std::string& folder, const std::string& name);

// The folder part of a path, "." where there is none.
std::string FolderOf(const std::string& path);

// The ending after the last dot of the last part, lower case, without the dot; "" where none.
std::string EndingOf(const std::string& path);

}  // namespace wheatpaste
