#include "batch/file_watch.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <utility>

#include <poll.h>
#include <sys/inotify.h>
#include <unistd.h>

#include <fmt/format.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

// Programs that save in several steps are done within this pause.
constexpr int kPauseMs = 40;
constexpr int kMostPauses = 12;
constexpr uint32_t kSaved = IN_CLOSE_WRITE | IN_MOVED_TO | IN_DELETE | IN_MOVED_FROM;

}  // namespace

Result<FileWatch> FileWatch::Create() {
  const int descriptor = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
  if (descriptor < 0) {
    return Error{{"--watch"}, "", fmt::format("cannot watch: {}", std::strerror(errno))};
  }
  return FileWatch(descriptor);
}

FileWatch::FileWatch(FileWatch&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)),
      folders_(std::move(other.folders_)),
      files_(std::move(other.files_)),
      changed_(other.changed_) {}

FileWatch::~FileWatch() {
  if (descriptor_ >= 0) close(descriptor_);
}

Status FileWatch::Set(const std::vector<std::string>& files) {
  files_.clear();
  for (const std::string& file : files) {
    files_[FolderOf(file)].insert(std::filesystem::path(file).filename().string());
  }
  Errors errors;
  for (const auto& [folder, names] : files_) {
    // A folder that is watched already keeps its number.
    const int number = inotify_add_watch(descriptor_, folder.c_str(), kSaved);
    if (number < 0 && (errno == ENOENT || errno == ENOTDIR)) continue;
    if (number < 0) {
      errors.push_back({{PrintableText(folder)},
                        "",
                        fmt::format("cannot watch this folder: {}", std::strerror(errno))});
      continue;
    }
    folders_[number] = folder;
  }
  if (!errors.empty()) return errors;
  return Done{};
}

bool FileWatch::Take(int milliseconds) {
  pollfd ready{descriptor_, POLLIN, 0};
  if (poll(&ready, 1, milliseconds) <= 0) return false;
  alignas(inotify_event) char events[16 << 10];
  const ssize_t size = read(descriptor_, events, sizeof events);
  for (ssize_t at = 0; at < size;) {
    const auto* event = reinterpret_cast<const inotify_event*>(events + at);
    at += static_cast<ssize_t>(sizeof(inotify_event)) + static_cast<ssize_t>(event->len);
    if ((event->mask & IN_Q_OVERFLOW) != 0) changed_ = true;  // some were lost: any may have
    const auto folder = folders_.find(event->wd);
    if (folder == folders_.end() || event->len == 0) continue;
    const auto names = files_.find(folder->second);
    if (names != files_.end() && names->second.contains(event->name)) changed_ = true;
  }
  return size > 0;
}

bool FileWatch::Pending() {
  while (Take(0)) {
  }
  return changed_;
}

bool FileWatch::Wait(int milliseconds) {
  if (!Pending()) Take(milliseconds);
  if (changed_) {
    for (int i = 0; i < kMostPauses && Take(kPauseMs); ++i) {
    }
  }
  return std::exchange(changed_, false);
}

}  // namespace wheatpaste
