#include "base/read_log.h"

#include "base/digest.h"

namespace wheatpaste {
namespace {

thread_local ReadLog* innermost = nullptr;

}  // namespace

ReadLog::ReadLog() : outer_(innermost) { innermost = this; }
ReadLog::~ReadLog() { innermost = outer_; }

void ReadLog::Note(const std::string& path, const void* data, size_t size) {
  if (innermost != nullptr) innermost->files_[path] = Sha256Of(data, size);
}

void ReadLog::NoteDigest(const std::string& path, const std::string& digest) {
  if (innermost != nullptr) innermost->files_[path] = digest;
}

void ReadLog::NoteFile(const std::string& path) {
  if (innermost == nullptr) return;
  // A file that cannot be read any more is unlike any that could.
  const auto digest = Sha256OfFile(path);
  innermost->files_[path] = digest ? *digest : std::string();
}

}  // namespace wheatpaste
