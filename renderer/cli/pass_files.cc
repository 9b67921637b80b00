#include "cli/pass_files.h"

#include <cerrno>
#include <cstring>
#include <utility>

#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "output/write_float_tiff.h"

namespace wheatpaste {

std::vector<NamedOutput> NamedPasses(const std::string& folder) {
  std::vector<NamedOutput> outputs;
  for (const Pass& pass : AllPasses()) {
    outputs.push_back({"--passes", JoinPath(folder, pass.file), "a pass"});
  }
  return outputs;
}

Result<PassFiles> PassFiles::Create(const std::string& folder) {
  if (folder.empty()) return Error{{"--passes"}, "", "expected a folder's name"};
  const bool made = mkdir(folder.c_str(), 0777) == 0;
  if (!made && errno != EEXIST) {
    return Error{{PrintableText(folder)},
                 "",
                 fmt::format("cannot make the folder: {}", std::strerror(errno))};
  }
  PassFiles files(folder, made);
  struct stat status {};
  if (stat(folder.c_str(), &status) != 0 || !S_ISDIR(status.st_mode)) {
    return Error{{PrintableText(folder)}, "", "expected a folder, it is a file"};
  }
  for (const Pass& pass : AllPasses()) {
    auto file = PendingFile::Create(JoinPath(folder, pass.file));
    if (!file) return file.errors();
    files.files_.push_back(std::move(*file));
  }
  return files;
}

PassFiles::PassFiles(PassFiles&& other) noexcept
    : folder_(std::move(other.folder_)),
      made_(std::exchange(other.made_, false)),
      files_(std::move(other.files_)) {}

PassFiles::~PassFiles() {
  files_.clear();
  // Refused where the folder is not empty.
  if (made_) (void)rmdir(folder_.c_str());
}

Status PassFiles::Write(const PreparedScene& scene) {
  const PassMaker maker(scene);
  for (size_t i = 0; i < files_.size(); ++i) {
    const Pass& pass = AllPasses()[i];
    const FloatFacts facts{scene.base.size, pass.bands,
                           pass.share ? TiffSamples::kWhole16 : TiffSamples::kFloat32,
                           pass.description};
    auto written = WriteFloatTiff(files_[i], facts, [&](int64_t y0, int64_t y1, float* pixels) {
      maker.Rows(pass, y0, y1, pixels);
    });
    if (!written) return written;
  }
  return Done{};
}

Status PassFiles::Commit() {
  for (PendingFile& file : files_) {
    if (auto whole = file.Commit(); !whole) return whole.errors();
    made_ = false;
  }
  return Done{};
}

}  // namespace wheatpaste
