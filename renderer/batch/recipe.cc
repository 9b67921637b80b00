#include "batch/recipe.h"

#include <filesystem>
#include <variant>

#include <sys/stat.h>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/files.h"

namespace wheatpaste {
namespace {

constexpr std::string_view kDataPrefix = "wheatpaste:";

std::string Absolute(const std::string& path) {
  std::error_code failed;
  const auto whole = std::filesystem::weakly_canonical(path, failed);
  return failed ? std::filesystem::absolute(path).lexically_normal().string() : whole.string();
}

bool IsInside(const std::string& path, const std::string& folder) {
  return path.size() > folder.size() + 1 && path.starts_with(folder) && path[folder.size()] == '/';
}

int64_t ChangedNs(const struct stat& status) {
  return int64_t{status.st_mtim.tv_sec} * 1'000'000'000 + status.st_mtim.tv_nsec;
}

std::string SizeText(const OutputSpec& output) {
  if (!output.size) return "own";
  if (const auto* px = std::get_if<SizePx>(&output.size->extent)) {
    return fmt::format("{} x {} px", px->width, px->height);
  }
  const auto& mm = std::get<SizeMm>(output.size->extent);
  return fmt::format("{} x {} mm", mm.width, mm.height);
}

void AddOutput(const OutputSpec& output, Sha256& digest) {
  digest.AddText(output.format.value);
  digest.AddText(SizeText(output));
  digest.AddText(output.density ? fmt::format("{}", output.density->value) : "");
  digest.AddText(fmt::format("{} {} {} {} {} {} {} {} {} {}", output.pixel_ratio,
                             static_cast<int>(output.fit), HexOf(output.ground), output.bleed_mm,
                             output.crop_marks, output.depth.value_or(0),
                             static_cast<int>(output.compression), output.tiles,
                             output.quality.value_or(0), output.sharp_artwork));
  digest.AddText(output.from_metres ? fmt::format("{}", output.from_metres->value) : "");
  digest.AddText(output.vision ? fmt::format("{} {}", NameOf(output.vision->deficiency),
                                             output.vision->severity)
                               : "");
  digest.AddText(output.profile ? output.profile->value : "");
}

}  // namespace

InputNames::InputNames(const std::string& run_sheet, const std::string& data_folder)
    : sheet_folder_(Absolute(FolderOf(run_sheet))), data_folder_(Absolute(data_folder)) {}

std::string InputNames::NameOf(const std::string& path) const {
  const std::string whole = Absolute(path);
  if (IsInside(whole, sheet_folder_)) return whole.substr(sheet_folder_.size() + 1);
  if (IsInside(whole, data_folder_)) {
    return std::string(kDataPrefix) + whole.substr(data_folder_.size() + 1);
  }
  return RelativePath(whole, sheet_folder_);
}

std::string InputNames::PathOf(const std::string& name) const {
  if (name.starts_with(kDataPrefix)) {
    return JoinPath(data_folder_, name.substr(kDataPrefix.size()));
  }
  return JoinPath(sheet_folder_, name);
}

ReadFiles InputNames::NamesOf(const ReadFiles& files) const {
  ReadFiles by_name;
  for (const auto& [path, digest] : files) by_name[NameOf(path)] = digest;
  return by_name;
}

bool InputDigests::Unchanged(const ReadFiles& inputs) {
  for (const auto& [name, was] : inputs) {
    const auto [now, is_new] = now_.try_emplace(name);
    if (is_new) {
      if (const auto digest = Sha256OfFile(names_.PathOf(name))) now->second = *digest;
    }
    if (now->second.empty() || now->second != was) return false;
  }
  return true;
}

std::string RecipeOf(const RunSheet& sheet, const PlannedJob& job, const InputNames& names,
                     const std::string& program) {
  Sha256 digest;
  digest.AddText(program);
  digest.AddText(names.NameOf(sheet.scenes[job.scene].file.value));
  for (const auto& [slot, file] : sheet.artworks[job.artwork].slots) {
    digest.AddText(slot);
    digest.AddText(names.NameOf(file.value));
  }
  digest.AddText(sheet.artworks[job.artwork].name.value);
  if (job.colourway) {
    const Colourway& colourway = sheet.colourways[*job.colourway];
    digest.AddText(colourway.name.value);
    for (const NamedChange& change : colourway.changes) {
      digest.AddText(change.from.value);
      digest.AddText(change.to.value);
    }
    for (const Swatch& swatch : sheet.swatches) {
      digest.AddText(swatch.name);
      digest.AddText(HexOf(swatch.colour));
    }
  }
  if (sheet.print_condition) {
    digest.AddText(sheet.print_condition->name);
    digest.AddText(names.NameOf(sheet.print_condition->profile.value));
  }
  AddOutput(sheet.outputs[job.output], digest);
  return digest.Hex();
}

std::string RelativePath(const std::string& path, const std::string& folder) {
  return std::filesystem::path(Absolute(path)).lexically_relative(Absolute(folder)).string();
}

int64_t ChangedNs(const std::string& path) {
  struct stat status {};
  return stat(path.c_str(), &status) == 0 ? ChangedNs(status) : 0;
}

bool IsUpToDate(const JobRecord& record, const std::string& recipe, const std::string& folder,
                InputDigests& digests) {
  if (!record.done || record.recipe != recipe || !digests.Unchanged(record.inputs)) return false;
  const std::string path = JoinPath(folder, record.file);
  struct stat status {};
  if (stat(path.c_str(), &status) != 0 || status.st_size != record.bytes) return false;
  // A copied folder has other times; then the content decides.
  if (ChangedNs(status) == record.changed_ns) return true;
  const auto digest = Sha256OfFile(path);
  return digest.ok() && *digest == record.sha256;
}

}  // namespace wheatpaste
