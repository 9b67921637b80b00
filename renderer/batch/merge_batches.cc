#include "batch/merge_batches.h"

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <unordered_map>

#include <fmt/format.h>

#include "base/digest.h"
#include "base/files.h"
#include "batch/batch_folder.h"
#include "batch/manifest.h"
#include "batch/recipe.h"
#include "batch/shard.h"

namespace wheatpaste {
namespace {

namespace fs = std::filesystem;

constexpr int64_t kMaxPictureBytes = int64_t{16} << 30;

// "manifest-2-of-4.json"; the whole sheet's is part 1 of 1.
std::optional<Shard> ShardOf(const std::string& name) {
  if (name == kManifestName) return Shard{};
  int part = 0, parts = 0;
  const auto number = [&](std::string_view text, std::string_view before, int& value) {
    if (!text.starts_with(before)) return std::string_view();
    const char* const begin = text.data() + before.size();
    const auto [end, fault] = std::from_chars(begin, text.data() + text.size(), value);
    if (fault != std::errc()) return std::string_view();
    return text.substr(static_cast<size_t>(end - text.data()));
  };
  const auto rest = number(number(name, "manifest-", part), "-of-", parts);
  if (rest != ".json" || part < 1 || parts < 2 || part > parts) return std::nullopt;
  return Shard{part, parts};
}

struct Found {
  std::string folder;
  Shard shard;
  Manifest manifest;
};

Result<std::vector<Found>> ReadAll(const std::vector<std::string>& folders) {
  std::vector<Found> found;
  Errors errors;
  for (const std::string& folder : folders) {
    std::error_code failed;
    const size_t before = found.size();
    for (const auto& entry : fs::directory_iterator(folder, failed)) {
      const std::string name = entry.path().filename().string();
      const auto shard = ShardOf(name);
      if (!shard) continue;
      auto manifest = ReadManifest(folder, name);
      if (!manifest) {
        errors.insert(errors.end(), manifest.errors().begin(), manifest.errors().end());
        continue;
      }
      found.push_back({folder, *shard, *std::move(manifest)});
    }
    if (found.size() == before && errors.empty()) {
      errors.push_back({{PrintableText(folder)},
                        "",
                        failed ? "cannot read: " + failed.message()
                               : "expected a batch's folder: no manifest is in it"});
    }
  }
  for (const Found& one : found) {
    const Found& first = found.front();
    if (one.manifest.run_sheet == first.manifest.run_sheet) continue;
    errors.push_back(
        {{PrintableText(one.folder)},
         "",
         fmt::format("is of the run sheet {}, {} of {}; expected parts of one batch",
                     PrintableText(one.manifest.run_sheet), PrintableText(first.folder),
                     PrintableText(first.manifest.run_sheet))});
  }
  if (!errors.empty()) return errors;
  // Whole records first, then shards in the order of the plan.
  std::stable_sort(found.begin(), found.end(), [](const Found& a, const Found& b) {
    return std::pair(a.shard.parts, a.shard.part) < std::pair(b.shard.parts, b.shard.part);
  });
  return found;
}

std::vector<std::string> MissingParts(const std::vector<Found>& found) {
  std::map<int, std::set<int>> parts;
  for (const Found& one : found) parts[one.shard.parts].insert(one.shard.part);
  std::vector<std::string> missing;
  for (const auto& [count, there] : parts) {
    for (int part = 1; part <= count && count > 1; ++part) {
      if (!there.contains(part)) missing.push_back(fmt::format("part {} of {}", part, count));
    }
  }
  return missing;
}

struct Chosen {
  const JobRecord* record;
  const std::string* folder;
};

bool IsBetter(const JobRecord& other, const JobRecord& record) {
  return std::pair(other.done, other.changed_ns) > std::pair(record.done, record.changed_ns);
}

Status CopyPicture(const std::string& from, const std::string& to) {
  if (auto made = MakeFolder(FolderOf(to)); !made) return made;
  const auto bytes = ReadWholeFile({from, {from}, ""}, kMaxPictureBytes);
  if (!bytes) return bytes.errors();
  return WriteWholeFile(to, {reinterpret_cast<const char*>(bytes->data()), bytes->size()});
}

}  // namespace

Result<MergeResult> MergeBatches(const std::vector<std::string>& folders, const std::string& out) {
  const auto lock = FolderLock::Take(out, Shard{});
  if (!lock) return lock.errors();
  const auto found = ReadAll(folders);
  if (!found) return found.errors();
  MergeResult result;
  result.missing = MissingParts(*found);

  std::vector<Chosen> chosen;
  std::unordered_map<std::string, size_t> by_file;
  for (const Found& one : *found) {
    for (const JobRecord& record : one.manifest.jobs) {
      const auto [at, is_new] = by_file.emplace(record.file, chosen.size());
      if (is_new) {
        chosen.push_back({&record, &one.folder});
      } else if (IsBetter(record, *chosen[at->second].record)) {
        chosen[at->second] = {&record, &one.folder};
      }
    }
  }
  const Manifest& first = found->front().manifest;
  Manifest merged{first.program, first.title, first.run_sheet, {}, {}, false};
  if (!first.run_sheet_path.empty()) {
    merged.run_sheet_path =
        RelativePath(JoinPath(found->front().folder, first.run_sheet_path), out);
  }
  for (const Found& one : *found) {
    for (const JobRecord& record : one.manifest.left_over) {
      if (one.folder == out) merged.left_over.push_back(record);
    }
  }
  for (const Chosen& one : chosen) {
    JobRecord record = *one.record;
    if (record.done) {
      const std::string there = JoinPath(*one.folder, record.file);
      const std::string here = JoinPath(out, record.file);
      const auto digest = Sha256OfFile(there);
      if (!digest || *digest != record.sha256) {
        result.missing.push_back(fmt::format("{}, which is not as recorded", there));
        continue;
      }
      std::error_code failed;
      if (!fs::equivalent(there, here, failed)) {
        if (auto copied = CopyPicture(there, here); !copied) return copied.errors();
        record.changed_ns = ChangedNs(here);
        ++result.copied;
      }
      ++result.pictures;
    } else {
      ++result.failed;
    }
    merged.jobs.push_back(std::move(record));
  }
  if (auto written = WriteManifest(out, merged); !written) return written.errors();
  for (const Found& one : *found) {
    if (one.folder == out && one.shard.parts > 1) {
      RemoveManifest(out, ManifestNameOf(one.shard));
    }
  }
  return result;
}

}  // namespace wheatpaste
