#include "batch/plan_jobs.h"

#include <algorithm>
#include <set>
#include <unordered_map>

#include <fmt/format.h>

#include "scene/nearest_name.h"
#include "scene/slots.h"

namespace wheatpaste {
namespace {

// Of a format as an output names it.
std::string EndingFor(const std::string& format) {
  if (format == "jpeg") return "jpg";
  return format == "tiff" ? "tif" : format;
}

bool Wanted(const RunSheet& sheet, const PlannedJob& job) {
  const std::string_view colourway =
      job.colourway ? std::string_view(sheet.colourways[*job.colourway].name.value) : kAsDrawn;
  const auto holds = [&](const RunRule& rule) {
    return rule.scene.Match(sheet.scenes[job.scene].name) &&
           rule.artwork.Match(sheet.artworks[job.artwork].name.value) &&
           rule.colourway.Match(colourway) &&
           rule.output.Match(sheet.outputs[job.output].name.value);
  };
  const bool included =
      sheet.include.empty() || std::any_of(sheet.include.begin(), sheet.include.end(), holds);
  return included && std::none_of(sheet.exclude.begin(), sheet.exclude.end(), holds);
}

}  // namespace

Result<std::vector<PlannedJob>> PlanJobs(const RunSheet& sheet) {
  std::vector<PlannedJob> jobs;
  Errors errors;
  std::unordered_map<std::string, size_t> by_file;
  for (size_t scene = 0; scene < sheet.scenes.size(); ++scene) {
    for (size_t output = 0; output < sheet.outputs.size(); ++output) {
      const OutputSpec& spec = sheet.outputs[output];
      for (size_t artwork = 0; artwork < sheet.artworks.size(); ++artwork) {
        for (size_t way = 0; way <= sheet.colourways.size(); ++way) {
          PlannedJob job{scene, artwork, output, std::nullopt, {}};
          if (way > 0) job.colourway = way - 1;
          if (!Wanted(sheet, job)) continue;
          job.file = fmt::format("{}/{}{}-{}.{}", sheet.scenes[scene].name,
                                 sheet.artworks[artwork].name.value,
                                 way == 0 ? "" : "-" + sheet.colourways[way - 1].name.value,
                                 spec.name.value, EndingFor(spec.format.value));
          const auto [earlier, is_new] = by_file.emplace(job.file, jobs.size());
          if (!is_new) {
            const PlannedJob& other = jobs[earlier->second];
            errors.push_back(
                {sheet.artworks[artwork].name.place,
                 fmt::format("artwork.name = \"{}\"", sheet.artworks[artwork].name.value),
                 fmt::format("{} is the file of artwork {} too; expected names that do not make "
                             "the same together with colourways and outputs",
                             PrintableText(job.file), sheet.artworks[other.artwork].name.value)});
            continue;
          }
          jobs.push_back(std::move(job));
        }
      }
    }
  }
  if (jobs.empty() && errors.empty()) {
    errors.push_back({{PrintableText(sheet.file)},
                      "",
                      "nothing is left to make; expected include and exclude to leave something"});
  }
  if (!errors.empty()) return errors;
  return jobs;
}

Errors UnknownSlots(const RunSheet& sheet, const ReadSceneOptions& options) {
  std::set<std::string> slots;
  for (const RunScene& scene : sheet.scenes) {
    const auto read = ReadScene(scene.file.value, options);
    if (!read) return {};
    slots.merge(SlotsOf(*read));
  }
  Errors errors;
  for (const RunArtwork& artwork : sheet.artworks) {
    for (const auto& [slot, file] : artwork.slots) {
      if (slots.contains(slot)) continue;
      const std::vector<std::string> known(slots.begin(), slots.end());
      errors.push_back({file.place, file.key,
                        known.empty()
                            ? "no scene has a slot; expected slots = {}"
                            : fmt::format("no scene has this slot; there {} {}",
                                          known.size() == 1 ? "is" : "are", QuotedList(known))});
    }
  }
  return errors;
}

}  // namespace wheatpaste
