#include "scene/scene_paths.h"

#include <algorithm>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

namespace fs = std::filesystem;

// Absolute, links followed as far as the path exists, no "." or ".."; empty where the system
// refuses.
fs::path Canonical(const std::string& path, std::error_code& refusal) {
  const fs::path absolute = fs::absolute(path, refusal);
  if (refusal) return {};
  return fs::weakly_canonical(absolute, refusal);
}

bool LiesIn(const fs::path& path, const fs::path& root) {
  auto part = path.begin();
  for (const fs::path& root_part : root) {
    if (root_part.empty()) continue;  // behind a last slash
    if (part == path.end() || *part != root_part) return false;
    ++part;
  }
  return part != path.end();
}

}  // namespace

ScenePaths::ScenePaths(const std::string& scene_path, const ReadSceneOptions& options)
    : folder_(FolderOf(scene_path)) {
  std::vector<std::string> roots{folder_};
  if (!options.data_folder.empty()) {
    roots.push_back(JoinPath(options.data_folder, "assets-open"));
    roots.push_back(JoinPath(options.data_folder, "shared"));
  }
  roots.insert(roots.end(), options.allowed_folders.begin(), options.allowed_folders.end());
  for (const std::string& root : roots) {
    std::error_code refusal;
    const fs::path canonical = Canonical(root, refusal);
    if (!refusal && !canonical.empty()) roots_.push_back(canonical.string());
  }
}

Result<std::string> ScenePaths::Resolve(const std::string& name) const {
  std::error_code refusal;
  const fs::path path = Canonical(JoinPath(folder_, name), refusal);
  if (refusal) return Error{{}, "", fmt::format("cannot be resolved: {}", refusal.message())};
  const bool allowed = std::any_of(roots_.begin(), roots_.end(),
                                   [&](const std::string& root) { return LiesIn(path, root); });
  if (allowed) return path.string();
  return Error{{}, "", "lies outside the scene's folder; name its folder with --allow FOLDER"};
}

}  // namespace wheatpaste
