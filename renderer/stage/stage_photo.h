// stage_photo.h - the photograph of a stage: taken by tracing light, cleaned of noise, kept in a file and found there again.
//
// Holds   the picture (sRGB codes, 16 bits) and, under everything that can be printed on, E and S of its light: L = A E + S, as the
//         program reads them from other photographs. Beside printable faces E and S are 0.
// Thrown  for each face of the stage's `colour_transfer` one more: of the photograph's light, what came off that face (ThrownSums), of the blank.
// File    one TIFF of 16-bit RGB, pictures one below the other: the photograph; E; S; what each face throws. Light v of all but the first has
//         the code 65535 sqrt(v / most). Codes of all are rounded to kKeptBits (stacked_pictures.h), finer than can be seen, which packs well.
//         Its description: "wheatpaste stage DIGEST samples N light MOST mirrored MOST", and " thrown MOST" of each.
// Found   by digest: of what decides the photograph (BuiltStage::digest) and its samples. First beside the scene (`base`), then among
//         those kept (`folder`), else it is taken and kept there. Another digest is another photograph: never used.
// Resume  where asked for, sums of light are kept in DIGEST.sums: every kKeepSumsSeconds while it is taken, and when it is stopped, so that a
//         run that was ended goes on; and when it is done, where that is asked for too, so that one that wants more samples does. The
//         picture has the same bits as one taken at once.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "image/bitmap.h"
#include "image/image.h"
#include "scene/stage.h"
#include "stage/build_stage.h"

namespace wheatpaste {

inline constexpr double kKeepSumsSeconds = 20;

struct StagePhoto {
  Bitmap photo;                            // RGB, 16 bits, sRGB
  Image<SceneLinear> light;                // E
  Image<SceneLinear> mirrored;             // S
  std::vector<Image<SceneLinear>> thrown;  // of each face of Stage::colour_transfer
  int samples = 0;
};

// What is told while it is taken.
struct StageProgress {
  int samples = 0, of = 0;
  double seconds = 0;       // since this run began
  double seconds_left = 0;  // by the samples of this run
};

struct StagePhotoOptions {
  std::string folder;       // where photographs are kept; empty: nowhere
  bool resumable = false;   // keep sums of light while it is taken: 80 bytes a px
  bool keeps_sums = false;  // when it is done too
  // false: stop.
  std::function<bool(const StageProgress&)> progress = nullptr;
};

// The user's folder for them: $XDG_CACHE_HOME/wheatpaste, else ~/.cache/wheatpaste; empty where there is neither.
std::string KeptStagesFolder();

// Nothing where it is not kept.
// errors  `base` is there and cannot be read as one of ours.
Result<std::optional<StagePhoto>> FindStagePhoto(const Stage& stage, const BuiltStage& built,
                                                 const std::string& folder);

// errors  stopped by `progress`; a texture or light map that cannot be read, or has changed since the stage was built; `base` is there and cannot be read as one of ours.
Result<StagePhoto> FindOrTakeStagePhoto(const Stage& stage, const BuiltStage& built,
                                        const StagePhotoOptions& options);

// The same into a file, such as the scene's `base`: found where it is kept, else taken, resumably.
// errors  as above, and as WritePicture.
Status TakeStagePhoto(const Stage& stage, const BuiltStage& built, const StagePhotoOptions& options,
                      const std::string& path);

}  // namespace wheatpaste
