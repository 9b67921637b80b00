// kept_scenes.h - scenes solved and prepared, with the files they were read from; kept from one run to the next where a
// watching program asks for it.
//
// Rule    what is kept serves again only while every file that it was read from is what it was, by its digest. Beyond the
//         limit of memory the oldest goes.
// Threads Solve and Prepare may be called from several threads at once.
#pragma once

#include <cstdint>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

#include "base/error.h"
#include "base/read_log.h"
#include "batch/recipe.h"
#include "composite/prepare_scene.h"
#include "scene/run_sheet.h"

namespace wheatpaste {

// A scene of a run sheet, or the mistakes that kept it from being solved.
struct SolvedInput {
  std::string file;       // the scene's
  std::string condition;  // the print condition that the run sheet puts it under; empty: its own
  SolvedScene solved;
  Errors errors;
  ReadFiles files;  // by name (recipe.h)
};

// One of its sizes, ready for artworks.
struct ReadyScene {
  PictureWish wish;
  std::shared_ptr<const PreparedScene> prepared;  // none: `errors` say why
  Errors errors;
  ReadFiles files;  // the scene's too
};

// The scene under the run sheet's print condition, where that names one.
// stage  as for SolveScene.
Result<SolvedScene> SolveRunScene(const RunSheet& sheet, const RunScene& scene,
                                  const ReadSceneOptions& options,
                                  const StagePhotoOptions& stage = {KeptStagesFolder()});

class KeptScenes {
 public:
  // most_bytes  that prepared scenes may take between runs; 0: none are kept.
  KeptScenes(int64_t most_bytes, StagePhotoOptions stage)
      : most_bytes_(most_bytes), stage_(std::move(stage)) {}

  std::shared_ptr<const SolvedInput> Solve(const RunSheet& sheet, const RunScene& scene,
                                           const ReadSceneOptions& options,
                                           const InputNames& names);
  std::shared_ptr<const ReadyScene> Prepare(const std::shared_ptr<const SolvedInput>& solved,
                                            const PictureWish& wish, const InputNames& names);

 private:
  struct Kept {
    std::shared_ptr<const SolvedInput> solved;
    std::shared_ptr<const ReadyScene> ready;
    int64_t bytes;
  };
  const int64_t most_bytes_;
  const StagePhotoOptions stage_;
  std::mutex mutex_;
  std::deque<Kept> kept_;  // the oldest first
};

}  // namespace wheatpaste
