#include "batch/batch_folder.h"

#include <cerrno>
#include <filesystem>
#include <map>
#include <set>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <fmt/format.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

// As mkostemp (base/files.cc) ends a hidden name.
constexpr size_t kRandomLetters = 6;

// The descriptor of the file, locked.
Result<int> Lock(const std::string& folder, const std::string& name, int how) {
  const std::string path = JoinPath(folder, name);
  const int descriptor = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (descriptor < 0) return CannotWrite(path);
  if (flock(descriptor, how | LOCK_NB) == 0) return descriptor;
  const bool busy = errno == EWOULDBLOCK;
  const Error refused = CannotWrite(path);
  close(descriptor);
  if (!busy) return refused;
  return Error{{PrintableText(folder)},
               "",
               "another run is at work in this folder; wait for it, or choose another with --out"};
}

}  // namespace

Result<FolderLock> FolderLock::Take(const std::string& folder, const Shard& shard) {
  if (auto made = MakeFolder(folder); !made) return made.errors();
  const bool whole_sheet = shard.parts == 1;
  const auto whole = Lock(folder, ".wheatpaste.lock", whole_sheet ? LOCK_EX : LOCK_SH);
  if (!whole) return whole.errors();
  FolderLock lock(*whole, -1);
  if (!whole_sheet) {
    const auto part =
        Lock(folder, fmt::format(".wheatpaste-{}-of-{}.lock", shard.part, shard.parts), LOCK_EX);
    if (!part) return part.errors();
    lock.part_ = *part;
  }
  return lock;
}

FolderLock::FolderLock(FolderLock&& other) noexcept
    : whole_(std::exchange(other.whole_, -1)), part_(std::exchange(other.part_, -1)) {}

FolderLock::~FolderLock() {
  for (const int descriptor : {part_, whole_}) {
    if (descriptor >= 0) close(descriptor);
  }
}

void RemoveRests(const std::string& folder, const std::vector<std::string>& files) {
  namespace fs = std::filesystem;
  std::map<std::string, std::set<std::string>> by_folder;
  for (const std::string& file : files) {
    const std::string path = JoinPath(folder, file);
    by_folder[FolderOf(path)].insert(fs::path(path).filename().string());
  }
  std::error_code ignored;
  for (const auto& [inside, names] : by_folder) {
    for (const auto& entry : fs::directory_iterator(inside, ignored)) {
      const std::string name = entry.path().filename().string();
      if (name.size() < kRandomLetters + 3 || name[0] != '.') continue;
      const size_t dot = name.size() - kRandomLetters - 1;
      if (name[dot] == '.' && names.contains(name.substr(1, dot - 1))) {
        fs::remove(entry.path(), ignored);
      }
    }
  }
}

Status MakeFolder(const std::string& folder) {
  std::error_code failed;
  std::filesystem::create_directories(folder, failed);
  if (!failed) return Done{};
  errno = failed.value();
  return CannotWrite(folder);
}

}  // namespace wheatpaste
