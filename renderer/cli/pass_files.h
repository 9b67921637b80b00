// pass_files.h - the files of `render --passes DIR`: all of them appear whole, or none does.
#pragma once

#include <string>
#include <vector>

#include "base/error.h"
#include "base/files.h"
#include "cli/output_names.h"
#include "composite/passes.h"

namespace wheatpaste {

// What the files will be called, to be held against other outputs and inputs.
std::vector<NamedOutput> NamedPasses(const std::string& folder);

// The folder is made where it is not there (its last part only), and taken away again if nothing came of it.
class PassFiles {
 public:
  // errors  the folder cannot be made, is a file, or takes no files.
  static Result<PassFiles> Create(const std::string& folder);
  PassFiles(PassFiles&& other) noexcept;
  PassFiles& operator=(PassFiles&&) = delete;
  ~PassFiles();

  // Status of the system; the files appear with Commit().
  Status Write(const PreparedScene& scene);
  Status Commit();

 private:
  PassFiles(std::string folder, bool made) : folder_(std::move(folder)), made_(made) {}
  std::string folder_;
  bool made_ = false;               // by Create, and no file is in it for good
  std::vector<PendingFile> files_;  // one for each of AllPasses()
};

}  // namespace wheatpaste
