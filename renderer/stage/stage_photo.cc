#include "stage/stage_photo.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include <fmt/format.h>

#include "base/files.h"
#include "base/parallel.h"
#include "colour/profile.h"
#include "stage/add_looks.h"
#include "stage/denoise.h"
#include "stage/kept_sums.h"
#include "stage/stacked_pictures.h"
#include "stage/stage_surfaces.h"
#include "stage/trace_world.h"

namespace wheatpaste {
namespace {

constexpr int64_t kBandRows = 16;
// E and S are known this far beyond what can be printed on: kernels that resize pictures reach there.
constexpr int64_t kMarginPx = 4;

// Read back from what a file holds, so that a photograph just taken and one that is found are the same bits.
StagePhoto PhotoFrom(const StackedPictures& stacked, int samples) {
  StagePhoto photo;
  photo.samples = samples;
  photo.photo.size = stacked.size;
  photo.photo.depth = 16;
  photo.photo.profile = Profile::Srgb();
  const auto bytes = static_cast<size_t>(stacked.size.area()) * 3 * sizeof(uint16_t);
  photo.photo.codes.resize(bytes);
  std::memcpy(photo.photo.codes.data(), stacked.codes.data(), bytes);
  photo.light = TakeLight(stacked, stacked.most_light, stacked.size.height);
  photo.mirrored = TakeLight(stacked, stacked.most_mirrored, 2 * stacked.size.height);
  int64_t below = 3 * stacked.size.height;
  for (const double most : stacked.most_thrown) {
    photo.thrown.push_back(TakeLight(stacked, most, below));
    below += stacked.size.height;
  }
  return photo;
}

// 1 within kMarginPx, and the lens's blur, of what can be printed on.
Image<Coverage> Printable(const BuiltStage& built, SizePx size) {
  const int32_t chart_count = built.chart_count;
  const auto tracer = TracerOf(built, std::vector<bool>(static_cast<size_t>(chart_count), true));
  const Frame frame = FramePhoto(size, size);
  const auto picture = tracer->Picture(frame);
  Image<Coverage> near(size), row_near(size);
  const auto mark = [&](int64_t x, int64_t y) {
    float* const row = row_near.row(0, y);
    std::fill(row + std::max<int64_t>(x - kMarginPx, 0),
              row + std::min(x + kMarginPx + 1, size.width), 1.0f);
  };
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t x = 0; x < size.width; ++x) {
      const int32_t triangle = picture->triangles[static_cast<size_t>(y * size.width + x)];
      if (triangle >= 0 && tracer->mesh().islands[static_cast<size_t>(triangle)] < chart_count) {
        mark(x, y);
      }
    }
    for (const MeshShare& share : picture->shares[static_cast<size_t>(y)]) {
      if (share.island < chart_count) mark(share.x, y);
    }
  }
  for (int64_t y = 0; y < size.height; ++y) {
    for (int64_t from = std::max<int64_t>(y - kMarginPx, 0);
         from <= std::min(y + kMarginPx, size.height - 1); ++from) {
      for (int64_t x = 0; x < size.width; ++x) {
        near.row(0, y)[x] = std::max(near.row(0, y)[x], row_near.row(0, from)[x]);
      }
    }
  }
  return near;
}

// The mean of a face's thrown light, cleaned of noise as the rest of the diffuse light is.
Image<SceneLinear> ThrownLight(const Stage& stage, const TraceSums& sums,
                               const ThrownSums& thrown) {
  const SizePx size = sums.diffuse.size();
  TraceSums alone;
  alone.samples = sums.samples;
  alone.diffuse = thrown.light.Copy();
  alone.diffuse_squared = thrown.squared.Copy();
  alone.mirrored = Image<SceneLinear>(size);
  alone.mirrored_squared = Image<SceneLinear>(size);
  alone.albedo = sums.albedo.Copy();
  alone.normal = sums.normal.Copy();
  alone.depth = sums.depth.Copy();
  alone.depth_squared = sums.depth_squared.Copy();
  return (stage.denoise ? Denoise(alone) : Averages(alone)).diffuse;
}

// errors  of the tracing.
Result<StackedPictures> Develop(const Stage& stage, const BuiltStage& built,
                                const Result<TraceSums>& traced_sums) {
  if (!traced_sums) return traced_sums.errors();
  const TraceSums& sums = *traced_sums;
  const TracedLight traced = stage.denoise ? Denoise(sums) : Averages(sums);
  const SizePx size = traced.albedo.size();
  const Image<Coverage> printable = Printable(built, size);
  Image<SceneLinear> picture(size), light(size), mirrored(size);
  ParallelRows(size.height, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      const float* const inside = printable.row(0, y);
      for (int c = 0; c < 3; ++c) {
        const float *diffuse = traced.diffuse.row(c, y), *albedo = traced.albedo.row(c, y),
                    *gloss = traced.mirrored.row(c, y);
        for (int64_t x = 0; x < size.width; ++x) {
          picture.row(c, y)[x] = diffuse[x] + gloss[x];
          if (inside[x] == 0) continue;
          if (albedo[x] > 0) light.row(c, y)[x] = diffuse[x] / albedo[x];
          mirrored.row(c, y)[x] = gloss[x];
        }
      }
    }
  });
  StackedPictures stacked;
  stacked.size = size;
  stacked.most_thrown.resize(sums.thrown.size());
  stacked.codes.resize(static_cast<size_t>(size.area()) * 3 * stacked.pictures());
  const CodesFromWorking encode(Profile::Srgb(), 16);
  ParallelRows(size.height, kBandRows, [&](int64_t from, int64_t to) {
    for (int64_t y = from; y < to; ++y) {
      uint16_t* const row = stacked.row(y);
      encode.Convert(picture.row(0, y), picture.row(1, y), picture.row(2, y), size.width, row);
      for (int64_t i = 0; i < 3 * size.width; ++i) row[i] = RoundedCode(row[i] / 65535.0);
    }
  });
  stacked.most_light = MostOf(light);
  stacked.most_mirrored = MostOf(mirrored);
  PutLight(light, stacked.most_light, size.height, stacked);
  PutLight(mirrored, stacked.most_mirrored, 2 * size.height, stacked);
  int64_t below = 3 * size.height;
  for (size_t i = 0; i < sums.thrown.size(); ++i) {
    const Image<SceneLinear> thrown = ThrownLight(stage, sums, sums.thrown[i]);
    stacked.most_thrown[i] = MostOf(thrown);
    PutLight(thrown, stacked.most_thrown[i], below, stacked);
    below += size.height;
  }
  return stacked;
}

Result<TraceSums> Trace(const Stage& stage, const BuiltStage& built,
                        const StagePhotoOptions& options, const std::string& sums_path) {
  TraceSums sums;
  if (!sums_path.empty()) {
    if (auto kept = ReadSums(sums_path, stage.size, built.world.thrower_count))
      sums = *std::move(kept);
    // Sums of more samples cannot be taken back.
    if (sums.samples > stage.samples) sums = {};
  }
  const int before = sums.samples;
  const auto start = std::chrono::steady_clock::now();
  auto kept_at = start;
  bool stopped = false;
  TraceOptions wish;
  wish.samples = stage.samples;
  wish.seed = stage.seed;
  wish.progress = [&](const TraceSums& so_far) {
    const int done = so_far.samples;
    const auto now = std::chrono::steady_clock::now();
    if (!sums_path.empty() && done < stage.samples &&
        now - kept_at > std::chrono::duration<double>(kKeepSumsSeconds)) {
      // Where they cannot be kept, this run may still come to its end.
      static_cast<void>(WriteSums(so_far, sums_path));
      kept_at = now;
    }
    if (!options.progress) return true;
    const std::chrono::duration<double> since = now - start;
    const double each = done > before ? since.count() / (done - before) : 0;
    stopped =
        !options.progress({done, stage.samples, since.count(), each * (stage.samples - done)});
    return !stopped;
  };
  if (sums.samples < stage.samples) sums = TraceWorld(built.world, wish, std::move(sums));
  if (!sums_path.empty() && (stopped || options.keeps_sums)) {
    if (auto kept = WriteSums(sums, sums_path); !kept) return kept.errors();
  } else if (!sums_path.empty()) {
    std::error_code ignored;
    std::filesystem::remove(sums_path, ignored);
  }
  if (stopped) {
    return Error{{},
                 "",
                 fmt::format("stopped after {} of {} samples{}", sums.samples, stage.samples,
                             sums_path.empty() ? "" : "; the next run goes on from there")};
  }
  return sums;
}

std::string KeptPath(const std::string& folder, const std::string& digest, int samples) {
  return JoinPath(folder, fmt::format("{}-{}.tif", digest, samples));
}

Result<std::optional<StackedPictures>> Find(const Stage& stage, const BuiltStage& built,
                                            const std::string& folder) {
  if (stage.base) {
    auto beside = ReadStacked(*stage.base, built.digest, stage.samples);
    if (!beside || *beside) return beside;
  }
  if (folder.empty()) return std::optional<StackedPictures>();
  auto kept = ReadStacked({KeptPath(folder, built.digest, stage.samples), {}, "kept"}, built.digest,
                          stage.samples);
  // One that cannot be read is taken anew.
  if (!kept) return std::optional<StackedPictures>();
  return kept;
}

// built   without looks only where a photograph that was kept has gone since.
// folder  made where it is not there; emptied where it cannot be, and then nothing is kept.
Result<StackedPictures> Take(const Stage& stage, const BuiltStage& built,
                             const StagePhotoOptions& options, bool resumable,
                             std::string& folder) {
  std::error_code failed;
  if (!folder.empty()) std::filesystem::create_directories(folder, failed);
  if (failed) folder.clear();
  const std::string sums_path =
      resumable && !folder.empty() ? JoinPath(folder, built.digest + ".sums") : "";
  if (built.has_looks) return Develop(stage, built, Trace(stage, built, options, sums_path));
  BuiltStage whole = built;
  if (const auto looks = AddLooks(stage, whole); !looks) return looks.errors();
  return Develop(stage, whole, Trace(stage, whole, options, sums_path));
}

}  // namespace

std::string KeptStagesFolder() {
  const auto variable = [](const char* name) {
    const char* const value = std::getenv(name);
    return std::string(value != nullptr ? value : "");
  };
  const std::string cache = variable("XDG_CACHE_HOME"), home = variable("HOME");
  if (!cache.empty()) return JoinPath(cache, "wheatpaste");
  return home.empty() ? "" : JoinPath(home, ".cache/wheatpaste");
}

Result<std::optional<StagePhoto>> FindStagePhoto(const Stage& stage, const BuiltStage& built,
                                                 const std::string& folder) {
  const auto found = Find(stage, built, folder);
  if (!found) return found.errors();
  if (!*found) return std::optional<StagePhoto>();
  return std::optional<StagePhoto>(PhotoFrom(**found, stage.samples));
}

Result<StagePhoto> FindOrTakeStagePhoto(const Stage& stage, const BuiltStage& built,
                                        const StagePhotoOptions& options) {
  auto found = FindStagePhoto(stage, built, options.folder);
  if (!found) return found.errors();
  if (*found) return **std::move(found);
  std::string folder = options.folder;
  const auto taken = Take(stage, built, options, options.resumable, folder);
  if (!taken) return taken.errors();
  if (!folder.empty()) {
    // What cannot be kept is taken again next time: no fault of this picture.
    const auto kept = WriteStacked(*taken, stage.samples, built.digest,
                                   KeptPath(folder, built.digest, stage.samples));
    static_cast<void>(kept);
  }
  return PhotoFrom(*taken, stage.samples);
}

Status TakeStagePhoto(const Stage& stage, const BuiltStage& built, const StagePhotoOptions& options,
                      const std::string& path) {
  auto found = Find(stage, built, options.folder);
  if (!found) return found.errors();
  if (*found) return WriteStacked(**found, stage.samples, built.digest, path);
  std::string folder = options.folder;
  const auto taken = Take(stage, built, options, true, folder);
  if (!taken) return taken.errors();
  return WriteStacked(*taken, stage.samples, built.digest, path);
}

}  // namespace wheatpaste
