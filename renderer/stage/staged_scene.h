// staged_scene.h - what a scene with a stage holds besides: the built stage, and its photograph, taken when it is first wanted.
#pragma once

#include <memory>
#include <mutex>
#include <optional>

#include "base/error.h"
#include "scene/stage.h"
#include "stage/build_stage.h"
#include "stage/stage_photo.h"

namespace wheatpaste {

// Threads  safe; the photograph is taken once.
class StagedScene {
 public:
  // errors  of BuildStage, FindStagePhoto and, where the photograph is not kept, AddLooks.
  static Result<std::shared_ptr<const StagedScene>> Build(std::shared_ptr<const Stage> stage,
                                                          StagePhotoOptions options);

  const Stage& stage() const { return *stage_; }
  const BuiltStage& built() const { return built_; }
  // errors  of FindOrTakeStagePhoto.
  Result<std::shared_ptr<const StagePhoto>> Photo() const;

 private:
  StagedScene(std::shared_ptr<const Stage> stage, BuiltStage built, StagePhotoOptions options);

  std::shared_ptr<const Stage> stage_;
  BuiltStage built_;
  StagePhotoOptions options_;
  mutable std::mutex mutex_;
  mutable std::optional<Result<std::shared_ptr<const StagePhoto>>> photo_;
};

}  // namespace wheatpaste
