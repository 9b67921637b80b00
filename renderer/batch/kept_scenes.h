// kept_scenes.h - scenes solved and prepared, with the files they were read from; kept from one run to the next where a
// watching program asks for it.
//
// Rule    what is kept serves again only while every file that it was read from is what it was, by its digest.
// Threads Solve and Prepare may be called from several threads at once.
#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/read_log.h"
#include "batch/recipe.h"
#include "composite/prepare_scene.h"
#include "scene/run_sheet.h"

namespace wheatpaste {

// A scene of a run sheet, or the mistakes that kept it from being solved.
struct SolvedInput {
  std::string scene;  // its file
  SolvedScene solved;
  Errors errors;
  ReadFiles files;  // by path
};

// One of its sizes, ready for artworks.
struct ReadyScene {
  PictureWish wish;
  std::shared_ptr<const PreparedScene> prepared;  // none: `errors` say why
  Errors errors;
  ReadFiles files;  // the scene's too
};

// The scene under the run sheet's print condition, where that names one.
Result<SolvedScene> SolveRunScene(const RunSheet& sheet, const RunScene& scene,
                                  const ReadSceneOptions& options);

class KeptScenes {
 public:
  std::shared_ptr<const SolvedInput> Solve(const RunSheet& sheet, const RunScene& scene,
                                           const ReadSceneOptions& options, const InputNames& names,
                                           bool keep);
  std::shared_ptr<const ReadyScene> Prepare(const SolvedInput& solved, const PictureWish& wish,
                                            const InputNames& names, bool keep);

 private:
  struct Kept {
    std::string condition;
    std::shared_ptr<const SolvedInput> solved;
    std::vector<std::shared_ptr<const ReadyScene>> sizes;
  };
  std::mutex mutex_;
  std::map<std::string, Kept> kept_;  // by the scene's file
};

}  // namespace wheatpaste
