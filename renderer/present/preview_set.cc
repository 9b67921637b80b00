#include "present/preview_set.h"

#include <algorithm>
#include <array>
#include <map>
#include <tuple>

#include <fmt/format.h>

#include "base/files.h"

namespace wheatpaste {
namespace {

// Of formats that can be shown, the first is the best to pass on; after the last: none of them.
constexpr std::array kShown = {".jpg", ".webp", ".png", ".tif"};

size_t RankOf(const JobRecord& record) {
  const auto ends_so = [&](const char* ending) { return record.file.ends_with(ending); };
  return static_cast<size_t>(std::find_if(kShown.begin(), kShown.end(), ends_so) - kShown.begin());
}

// What may stand for one thing, in the manifest's order.
struct Candidates {
  std::vector<const JobRecord*> plain, views;
};

const JobRecord* Choose(const Candidates& candidates, const std::optional<std::string>& output) {
  const JobRecord* chosen = nullptr;
  for (const JobRecord* const record : candidates.plain) {
    if (output && record->output != *output) continue;
    if (chosen == nullptr || RankOf(*record) < RankOf(*chosen)) chosen = record;
  }
  return chosen;
}

}  // namespace

bool IsView(const JobRecord& record) { return record.from_metres || !record.vision.empty(); }

const std::string& TitleOf(const PreviewScene& scene) {
  return scene.title.empty() ? scene.name : scene.title;
}

std::vector<const JobRecord*> RecordsOf(const PreviewScene& scene) {
  std::vector<const JobRecord*> records;
  for (const Preview& preview : scene.previews) {
    records.push_back(preview.shown);
    records.insert(records.end(), preview.views.begin(), preview.views.end());
  }
  return records;
}

Result<PreviewSet> ReadPreviewSet(const std::string& folder,
                                  const std::optional<std::string>& output) {
  PreviewSet set;
  set.folder = folder;
  auto manifest = ReadManifest(folder);
  if (!manifest) return manifest.errors();
  set.manifest = *std::move(manifest);
  const Place place{PrintableText(JoinPath(folder, kManifestName))};
  if (set.manifest.jobs.empty()) {
    return Error{place, "", "expected a batch's record with pictures in it; make the batch first"};
  }

  using Key = std::tuple<std::string, std::string, std::optional<std::string>>;
  std::map<Key, Candidates> by_key;
  std::vector<std::pair<Key, const JobRecord*>> order;  // each key once, by its first record
  size_t failed = 0;
  bool output_known = false;
  for (const JobRecord& record : set.manifest.jobs) {
    output_known = output_known || record.output == output;
    failed += record.done ? 0 : 1;
    if (!record.done || RankOf(record) == kShown.size()) continue;
    const Key key{record.scene, record.artwork, record.colourway};
    const auto [found, is_new] = by_key.try_emplace(key);
    if (is_new) order.emplace_back(key, &record);
    (IsView(record) ? found->second.views : found->second.plain).push_back(&record);
  }
  if (output && !output_known) {
    return Error{{"--output " + PrintableText(*output)},
                 "",
                 "expected the name of an output that the batch made"};
  }

  size_t without = 0;
  std::map<std::string, size_t> scene_index;
  for (const auto& [key, first] : order) {
    Candidates& candidates = by_key.at(key);
    const JobRecord* const shown = Choose(candidates, output);
    if (shown == nullptr) {
      ++without;
      continue;
    }
    const auto [scene, is_new] = scene_index.try_emplace(shown->scene, set.scenes.size());
    if (is_new) set.scenes.push_back({shown->scene, shown->scene_title, {}});
    const auto before = [](const JobRecord* a, const JobRecord* b) {
      return std::pair(a->vision, a->from_metres) < std::pair(b->vision, b->from_metres);
    };
    std::stable_sort(candidates.views.begin(), candidates.views.end(), before);
    set.scenes[scene->second].previews.push_back({shown, std::move(candidates.views)});
  }
  if (set.scenes.empty()) {
    return Error{place, "",
                 "has no picture that can be shown; expected an output in JPEG, WebP, PNG or TIFF"};
  }
  if (failed > 0) {
    set.notes.push_back(fmt::format("{} of {} pictures failed and are not shown", failed,
                                    set.manifest.jobs.size()));
  }
  if (without > 0) {
    set.notes.push_back(
        fmt::format("{} things have no picture{} and are not shown", without,
                    output ? " of the output " + PrintableText(*output) : " that can be shown"));
  }
  return set;
}

}  // namespace wheatpaste
