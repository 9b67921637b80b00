#include "base/files.h"

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "base/read_log.h"

namespace wheatpaste {
namespace {

Error FileError(const Placed<std::string>& path, const std::string& message) {
  if (path.key.empty()) return {{PrintableText(path.value)}, "", message};
  return {path.place, fmt::format("{} = \"{}\"", path.key, PrintableText(path.value)), message};
}

Error WriteError(const std::string& path, const std::string& doing) {
  return {{PrintableText(path)}, "", fmt::format("{}: {}", doing, std::strerror(errno))};
}

// Of the process. The only way to ask is to set it for a moment, so it is asked once.
mode_t FileMask() {
  static const mode_t mask = [] {
    const mode_t found = umask(0);
    umask(found);
    return found;
  }();
  return mask;
}

}  // namespace

Result<Bytes> ReadWholeFile(const Placed<std::string>& path, int64_t max_bytes) {
  // O_NONBLOCK: opening a pipe that nobody writes to must not hang.
  const int descriptor = open(path.value.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) {
    if (errno == ENOENT) return FileError(path, "cannot open, no such file");
    return FileError(path, fmt::format("cannot open: {}", std::strerror(errno)));
  }
  struct Closer {
    int descriptor;
    ~Closer() { close(descriptor); }
  } const closer{descriptor};
  struct stat status {};
  if (fstat(descriptor, &status) != 0 || !S_ISREG(status.st_mode)) {
    return FileError(path, "expected a regular file");
  }
  if (status.st_size > max_bytes) {
    return FileError(path, fmt::format("is {} bytes long, expected at most {}",
                                       static_cast<int64_t>(status.st_size), max_bytes));
  }
  Bytes bytes(static_cast<size_t>(status.st_size));
  size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t got = read(descriptor, bytes.data() + done, bytes.size() - done);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return FileError(path, fmt::format("cannot read: {}", std::strerror(errno)));
    if (got == 0) break;
    done += static_cast<size_t>(got);
  }
  bytes.resize(done);
  ReadLog::Note(path.value, bytes.data(), bytes.size());
  return bytes;
}

Result<PendingFile> PendingFile::Create(const std::string& path) {
  struct stat status {};
  if (stat(path.c_str(), &status) == 0 && !S_ISREG(status.st_mode)) {
    return Error{{PrintableText(path)}, "", "cannot write, it is not a regular file"};
  }
  const std::string folder = FolderOf(path);
  const std::string name = std::filesystem::path(path).filename().string();
  if (name.empty()) return Error{{PrintableText(path)}, "", "cannot write, expected a file name"};
  std::string hidden = JoinPath(folder, "." + name + ".XXXXXX");
  const int descriptor = mkostemp(hidden.data(), O_CLOEXEC);
  if (descriptor < 0) return CannotWrite(path);
  // mkostemp gives 0600; a finished picture is as readable as any other new file.
  (void)fchmod(descriptor, 0666 & ~FileMask());
  return PendingFile(path, std::move(hidden), descriptor);
}

PendingFile::PendingFile(PendingFile&& other) noexcept
    : path_(std::move(other.path_)),
      hidden_(std::move(other.hidden_)),
      descriptor_(std::exchange(other.descriptor_, -1)) {}

PendingFile::~PendingFile() {
  if (descriptor_ < 0) return;
  close(descriptor_);
  unlink(hidden_.c_str());
}

Status PendingFile::Write(const void* data, size_t size) {
  return WriteAll(descriptor_, data, size, path_);
}

Status PendingFile::Seek(int64_t offset) {
  if (lseek(descriptor_, offset, SEEK_SET) < 0) return WriteError(path_, "cannot seek");
  return Done{};
}

Result<int64_t> PendingFile::Commit() {
  struct stat status {};
  if (fsync(descriptor_) != 0 || fstat(descriptor_, &status) != 0) {
    return CannotWrite(path_);
  }
  if (rename(hidden_.c_str(), path_.c_str()) != 0) return CannotWrite(path_);
  close(std::exchange(descriptor_, -1));
  return static_cast<int64_t>(status.st_size);
}

Error CannotWrite(const std::string& path) { return WriteError(path, "cannot write"); }

Status WriteAll(int descriptor, const void* data, size_t size, const std::string& path) {
  const auto* bytes = static_cast<const char*>(data);
  while (size > 0) {
    const ssize_t put = write(descriptor, bytes, size);
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) return CannotWrite(path);
    bytes += put;
    size -= static_cast<size_t>(put);
  }
  return Done{};
}

Status WriteWholeFile(const std::string& path, std::string_view data) {
  auto file = PendingFile::Create(path);
  if (!file) return file.errors();
  if (auto written = file->Write(data.data(), data.size()); !written) return written;
  auto size = file->Commit();
  if (!size) return size.errors();
  return Done{};
}

std::string JoinPath(const std::string& folder, const std::string& name) {
  return (std::filesystem::path(folder) / name).lexically_normal().string();
}

std::string FolderOf(const std::string& path) {
  const std::string folder = std::filesystem::path(path).parent_path().string();
  return folder.empty() ? "." : folder;
}

std::string EndingOf(const std::string& path) {
  std::string ending = std::filesystem::path(path).extension().string();
  if (!ending.empty()) ending.erase(0, 1);
  for (char& c : ending) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return ending;
}

}  // namespace wheatpaste
