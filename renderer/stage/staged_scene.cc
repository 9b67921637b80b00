#include "stage/staged_scene.h"

#include <utility>

#include "stage/stage_surfaces.h"

namespace wheatpaste {

Result<std::shared_ptr<const StagedScene>> StagedScene::Build(std::shared_ptr<const Stage> stage,
                                                              StagePhotoOptions options) {
  auto built = BuildStage(*stage);
  if (!built) return built.errors();
  return std::shared_ptr<const StagedScene>(
      new StagedScene(std::move(stage), *std::move(built), std::move(options)));
}

StagedScene::StagedScene(std::shared_ptr<const Stage> stage, BuiltStage built,
                         StagePhotoOptions options)
    : stage_(std::move(stage)),
      built_(std::move(built)),
      options_(std::move(options)),
      tracer_(TracerOf(built_)) {}

Result<std::shared_ptr<const StagePhoto>> StagedScene::Photo() const {
  const std::lock_guard lock(mutex_);
  if (!photo_) {
    auto taken = FindOrTakeStagePhoto(*stage_, built_, *tracer_, options_);
    if (taken) {
      photo_ = std::make_shared<const StagePhoto>(*std::move(taken));
    } else {
      photo_ = taken.errors();
    }
  }
  return *photo_;
}

}  // namespace wheatpaste
