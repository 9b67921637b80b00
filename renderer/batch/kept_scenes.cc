#include "batch/kept_scenes.h"

#include <algorithm>

namespace wheatpaste {
namespace {

ReadFiles ByName(const ReadFiles& files, const InputNames& names) {
  ReadFiles by_name;
  for (const auto& [path, digest] : files) by_name[names.NameOf(path)] = digest;
  return by_name;
}

// What of the run sheet a scene is solved with.
std::string ConditionOf(const RunSheet& sheet) {
  if (!sheet.print_condition) return {};
  return sheet.print_condition->name + '\0' + sheet.print_condition->profile.value;
}

}  // namespace

Result<SolvedScene> SolveRunScene(const RunSheet& sheet, const RunScene& scene,
                                  const ReadSceneOptions& options) {
  auto read = ReadScene(scene.file.value, options);
  if (!read) return read.errors();
  if (sheet.print_condition) read->print_condition = sheet.print_condition;
  return SolveScene(*std::move(read));
}

std::shared_ptr<const SolvedInput> KeptScenes::Solve(const RunSheet& sheet, const RunScene& scene,
                                                     const ReadSceneOptions& options,
                                                     const InputNames& names, bool keep) {
  const std::string condition = ConditionOf(sheet);
  if (keep) {
    const std::lock_guard lock(mutex_);
    const auto kept = kept_.find(scene.file.value);
    if (kept != kept_.end()) {
      // A digest for every file as it is now.
      if (kept->second.condition == condition &&
          InputDigests(names).Unchanged(ByName(kept->second.solved->files, names))) {
        return kept->second.solved;
      }
      kept_.erase(kept);
    }
  }
  auto solved = std::make_shared<SolvedInput>();
  solved->scene = scene.file.value;
  const ReadLog log;
  if (auto found = SolveRunScene(sheet, scene, options)) {
    solved->solved = *std::move(found);
  } else {
    solved->errors = found.errors();
  }
  solved->files = log.files();
  if (keep && solved->errors.empty()) {
    const std::lock_guard lock(mutex_);
    kept_[solved->scene] = {condition, solved, {}};
  }
  return solved;
}

std::shared_ptr<const ReadyScene> KeptScenes::Prepare(const SolvedInput& solved,
                                                      const PictureWish& wish,
                                                      const InputNames& names, bool keep) {
  if (keep) {
    const std::lock_guard lock(mutex_);
    const auto kept = kept_.find(solved.scene);
    if (kept != kept_.end() && kept->second.solved.get() == &solved) {
      auto& sizes = kept->second.sizes;
      std::erase_if(sizes, [&](const std::shared_ptr<const ReadyScene>& size) {
        return !InputDigests(names).Unchanged(ByName(size->files, names));
      });
      for (const auto& size : sizes) {
        if (size->wish == wish) return size;
      }
    }
  }
  auto ready = std::make_shared<ReadyScene>();
  ready->wish = wish;
  const ReadLog log;
  auto prepared = PrepareScene(solved.solved, wish, WantedFaces::kPlaced);
  if (prepared) {
    ready->prepared = std::make_shared<const PreparedScene>(*std::move(prepared));
  } else {
    ready->errors = prepared.errors();
  }
  ready->files = solved.files;
  ready->files.insert(log.files().begin(), log.files().end());
  if (keep && ready->prepared != nullptr) {
    const std::lock_guard lock(mutex_);
    const auto kept = kept_.find(solved.scene);
    if (kept != kept_.end() && kept->second.solved.get() == &solved) {
      kept->second.sizes.push_back(ready);
    }
  }
  return ready;
}

}  // namespace wheatpaste
