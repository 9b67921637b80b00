#include "base/private_folder.h"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

namespace wheatpaste {

Result<PrivateFolder> PrivateFolder::Make() {
  std::error_code failed;
  const std::filesystem::path place = std::filesystem::temp_directory_path(failed);
  std::string pattern = ((failed ? "/tmp" : place) / "wheatpaste-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) {
    return Error{{PrintableText(pattern)},
                 "",
                 fmt::format("cannot make a temporary folder: {}", std::strerror(errno))};
  }
  return PrivateFolder(std::move(pattern));
}

PrivateFolder::PrivateFolder(PrivateFolder&& other) noexcept
    : path_(std::exchange(other.path_, "")) {}

PrivateFolder::~PrivateFolder() {
  std::error_code ignored;
  if (!path_.empty()) std::filesystem::remove_all(path_, ignored);
}

}  // namespace wheatpaste
