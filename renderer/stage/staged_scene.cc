#include "stage/staged_scene.h"

#include <utility>

#include "stage/add_looks.h"

namespace wheatpaste {

Result<std::shared_ptr<const StagedScene>> StagedScene::Build(std::shared_ptr<const Stage> stage,
                                                              StagePhotoOptions options) {
  auto built = BuildStage(*stage);
  if (!built) return built.errors();
  auto found = FindStagePhoto(*stage, *built, options.folder);
  if (!found) return found.errors();
  if (!*found) {
    if (const auto looks = AddLooks(*stage, *built); !looks) return looks.errors();
  }
  auto staged = std::shared_ptr<StagedScene>(
      new StagedScene(std::move(stage), *std::move(built), std::move(options)));
  if (*found) staged->photo_ = std::make_shared<const StagePhoto>(**std::move(found));
  return std::shared_ptr<const StagedScene>(std::move(staged));
}

StagedScene::StagedScene(std::shared_ptr<const Stage> stage, BuiltStage built,
                         StagePhotoOptions options)
    : stage_(std::move(stage)), built_(std::move(built)), options_(std::move(options)) {}

Result<std::shared_ptr<const StagePhoto>> StagedScene::Photo() const {
  const std::lock_guard lock(mutex_);
  if (!photo_) {
    auto taken = FindOrTakeStagePhoto(*stage_, built_, options_);
    if (taken) {
      photo_ = std::make_shared<const StagePhoto>(*std::move(taken));
    } else {
      photo_ = taken.errors();
    }
  }
  return *photo_;
}

}  // namespace wheatpaste
