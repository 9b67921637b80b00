#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/output_names.h"
#include "cli/report.h"
#include "cli/stage_progress.h"
#include "scene/read_scene.h"
#include "stage/staged_scene.h"

namespace wheatpaste {

int RunStage(const StageArguments& arguments) {
  Errors errors;
  const auto collect = [&errors](const auto& result) {
    if (!result.ok()) errors.insert(errors.end(), result.errors().begin(), result.errors().end());
  };
  auto scene = ReadScene(arguments.scene.scene, SceneOptionsOf(arguments.scene));
  collect(scene);
  std::optional<ThreadLimit> limit;
  if (arguments.threads) {
    const auto threads = ReadThreads(*arguments.threads);
    collect(threads);
    if (threads) limit.emplace(*threads);
  }
  if (scene) collect(ApplySamples(arguments.samples, *scene));
  if (!errors.empty()) return Refuse(errors);
  if (!scene->stage) {
    return Refuse({Error{{scene->file}, "", "expected a scene with a [stage]"}});
  }
  std::optional<std::string> out = arguments.out;
  if (!out && scene->stage->base) out = scene->stage->base->value;
  if (out) {
    if (EndingOf(*out) != "tif") {
      return Refuse(
          {Error{PlacedOption("--out", *out).place, "", "expected a name ending in .tif"}});
    }
    if (arguments.out) {
      errors = MistakenOutputs({{"--out", *out, "the photograph"}}, *scene, {});
      if (!errors.empty()) return Refuse(errors);
    }
    // Minutes of tracing are not for a file that cannot be written.
    if (const auto writable = PendingFile::Create(*out); !writable)
      return Refuse(writable.errors());
  }
  const auto stage = StagedScene::Build(scene->stage, {});
  if (!stage) return Refuse(stage.errors());
  for (const std::string& warning : (*stage)->built().warnings) {
    fmt::print(stderr, "warning: {}\n", PrintableText(warning, 1000));
  }
  for (const std::string& note : (*stage)->built().notes) fmt::print(stderr, "note: {}\n", note);
  StagePhotoOptions options = ToldStagePhotoOptions();
  options.keeps_sums = true;
  const auto tell = [&](const std::string& where) {
    fmt::print("{}: {} x {} px, {} samples a pixel\n", where, scene->stage->size.width,
               scene->stage->size.height, scene->stage->samples);
  };
  if (!out) {
    const auto photo = FindOrTakeStagePhoto((*stage)->stage(), (*stage)->built(), options);
    if (!photo) return Refuse(photo.errors());
    tell(options.folder);
    return kExitDone;
  }
  const auto written = TakeStagePhoto((*stage)->stage(), (*stage)->built(), options, *out);
  if (!written) return Refuse(written.errors());
  tell(*out);
  return kExitDone;
}

}  // namespace wheatpaste
