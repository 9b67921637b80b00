// private_folder.h - a temporary folder that only this user can enter, gone with all that is in it at the end.
#pragma once

#include <string>

#include "base/error.h"

namespace wheatpaste {

class PrivateFolder {
 public:
  // errors  the system's place for temporary files has no room for one: its own words.
  static Result<PrivateFolder> Make();
  PrivateFolder(PrivateFolder&& other) noexcept;
  PrivateFolder& operator=(PrivateFolder&&) = delete;
  ~PrivateFolder();
  const std::string& path() const { return path_; }

 private:
  explicit PrivateFolder(std::string path) : path_(std::move(path)) {}
  std::string path_;
};

}  // namespace wheatpaste
