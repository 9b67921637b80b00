#include "batch/blank_photo.h"

#include <algorithm>
#include <filesystem>
#include <memory>
#include <vector>

#include <fmt/format.h>

#include "base/files.h"
#include "base/read_log.h"
#include "batch/kept_scenes.h"
#include "batch/output_profile.h"
#include "batch/plan_jobs.h"
#include "batch/preview_file.h"
#include "batch/recipe.h"
#include "output/write_picture.h"
#include "scene/read_output.h"
#include "scene/run_sheet.h"

namespace wheatpaste {
namespace {

namespace fs = std::filesystem;

Error Changed(const std::string& file, const std::string& what, const JobRecord& record) {
  return {
      {PrintableText(file)},
      "",
      fmt::format("{} since {} was made; run the batch again", what, PrintableText(record.file))};
}

// A mistake for each file that was read and is not what the picture was made from.
Errors ChangedFiles(const ReadFiles& files, const JobRecord& record) {
  Errors errors;
  for (const auto& [name, digest] : files) {
    const auto was = record.inputs.find(name);
    if (was == record.inputs.end()) {
      errors.push_back(Changed(name, "is read by the scene only", record));
    } else if (was->second != digest) {
      errors.push_back(Changed(name, "has changed", record));
    }
  }
  return errors;
}

// A job of the sheet and the scene that it is of, with nothing placed.
struct BareJob {
  const OutputSpec& output;
  SolvedScene solved;
};

Result<BareJob> FindJob(const RunSheet& sheet, const JobRecord& record,
                        const ReadSceneOptions& options) {
  const auto plan = PlanJobs(sheet);
  if (!plan) return plan.errors();
  const auto job = std::find_if(plan->begin(), plan->end(), [&](const PlannedJob& planned) {
    return planned.file == record.file;
  });
  if (job == plan->end()) return Changed(sheet.file, "has changed and makes it no more", record);
  const ReadLog log;
  auto solved = SolveRunScene(sheet, sheet.scenes[job->scene], options);
  // That a file is another one tells more than what is wrong with it.
  const InputNames names(sheet.file, options.data_folder);
  if (const Errors changed = ChangedFiles(names.NamesOf(log.files()), record); !changed.empty()) {
    return changed;
  }
  if (!solved) return solved.errors();
  solved->scene.placements.clear();
  return BareJob{sheet.outputs[job->output], *std::move(solved)};
}

}  // namespace

Result<std::string> FindRunSheet(const std::string& folder, const Manifest& manifest) {
  std::error_code failed;
  const auto is_there = [&failed](const fs::path& path) {
    return fs::is_regular_file(path, failed);
  };
  if (!manifest.run_sheet_path.empty()) {
    const std::string path = JoinPath(folder, manifest.run_sheet_path);
    if (is_there(path)) return path;
  }
  const fs::path whole = fs::weakly_canonical(folder, failed);
  for (fs::path at = whole;; at = at.parent_path()) {
    if (is_there(at / manifest.run_sheet)) return (at / manifest.run_sheet).string();
    if (at == at.parent_path()) break;
  }
  return Error{{PrintableText(manifest.run_sheet)},
               "",
               fmt::format("the batch's run sheet is not where its record says, nor in {} or above",
                           PrintableText(folder))};
}

Status WriteBlankPhoto(const std::string& path, const Manifest& manifest, const JobRecord& record,
                       const BlankPhotoOptions& options) {
  WHEATPASTE_CHECK(record.done);
  const auto found = options.run_sheet ? Result<std::string>(*options.run_sheet)
                                       : FindRunSheet(options.folder, manifest);
  if (!found) return found.errors();
  const auto sheet = ReadRunSheet(*found, options.scenes);
  if (!sheet) return sheet.errors();
  auto job = FindJob(*sheet, record, options.scenes);
  if (!job) return job.errors();
  OutputSpec spec = job->output;
  std::optional<Profile> profile;
  if (spec.profile) {
    auto read = ReadOutputProfile(*spec.profile, options.scenes.data_folder);
    if (!read) return read.errors();
    profile = *std::move(read);
  }
  PictureWish wish = WishOf(spec, job->solved);
  if (spec.from_metres) wish.size = record.size;
  const ReadLog log;
  auto prepared = PrepareScene(std::move(job->solved), wish, WantedFaces::kPlaced);
  const InputNames names(sheet->file, options.scenes.data_folder);
  if (const Errors changed = ChangedFiles(names.NamesOf(log.files()), record); !changed.empty()) {
    return changed;
  }
  if (!prepared) return prepared.errors();
  const auto rendered =
      RenderScene(std::make_shared<const PreparedScene>(*std::move(prepared)), {});
  if (!rendered) return rendered.errors();
  const PreparedScene& scene = *rendered->scene;
  const SheetLayout layout = LayoutOf(spec, scene);
  if (layout.canvas != record.size ||
      (record.frame && *record.frame != PictureFrame{layout.picture, scene.frame.window})) {
    return Changed(sheet->file, "frames the picture otherwise than it did", record);
  }
  if ((profile ? *profile : scene.base.profile).description() != record.profile) {
    return Changed(sheet->file, "asks for another profile", record);
  }
  const auto format = PictureFormatOf(path);
  if (!format) return format.errors();
  spec.format.value = FormatNamed(EndingOf(path));
  // A photograph: none of what a visualisation says of itself.
  const auto written = WritePreview(path, *rendered, spec, profile ? &*profile : nullptr, nullptr);
  if (!written) return written.errors();
  return Done{};
}

}  // namespace wheatpaste
